import { withArena } from "../../kernels/arena.js";
import { kernels } from "../../kernels/kernels.js";
import { rotationFromAxisAngle } from "./rotation.js";
import { addScaled, apply, cross, type Mat3, multiply, transpose, unit, type Vec3 } from "./vector.js";

/**
 * Matched points as rays: four numbers a match, (xa, ya, xb, yb), each picture's coordinates less the principal
 * point and divided by the focal length, so that a point is the ray (x, y, 1). x right, y down, z forward.
 */
export type Correspondences = Float64Array;

/** Camera b against camera a: a point with coordinates X in a has rotation X + translation in b. */
export interface Motion {
  readonly rotation: Mat3;
  /** Unit length: two views do not show the scale. */
  readonly translation: Vec3;
}

/** The motion between two cameras placed in one world: their rotations take the world's axes to the camera's. */
export function motionBetween(
  a: { readonly rotation: Mat3; readonly centre: Vec3 },
  b: { readonly rotation: Mat3; readonly centre: Vec3 },
): Motion {
  return {
    rotation: multiply(b.rotation, transpose(a.rotation)),
    translation: unit(apply(b.rotation, addScaled(a.centre, b.centre, -1))),
  };
}

/** Essential matrices through five matches, at most. */
const MOST_SOLUTIONS = 10;

/** Essential matrix [t]x R of a motion: xbT E xa = 0 for every true match. */
export function essentialOf(motion: Motion): number[] {
  const [x, y, z] = motion.translation as [number, number, number];
  return multiply([0, -z, y, z, 0, -x, -y, x, 0], motion.rotation);
}

/**
 * The four motions of an essential matrix. All fit the matches equally; only one has the points in front of both
 * cameras.
 *
 * @see Hartley and Zisserman, result 9.19 (cited from memory).
 */
export function motionsOf(e: Mat3): Motion[] {
  // t is the left null vector of E: the longest product of two columns is the best conditioned.
  const c0 = [e[0], e[3], e[6]];
  const c1 = [e[1], e[4], e[7]];
  const c2 = [e[2], e[5], e[8]];
  const products = [cross(c0, c1), cross(c1, c2), cross(c2, c0)];
  products.sort((p, q) => q[0] ** 2 + q[1] ** 2 + q[2] ** 2 - (p[0] ** 2 + p[1] ** 2 + p[2] ** 2));
  const t = unit(products[0]);
  // With |t| = 1, E scaled to singular values (1, 1, 0): R = cof(E) - [t]x E and R' = cof(E) + [t]x E.
  let squares = 0;
  for (let i = 0; i < 9; i++) squares += e[i] * e[i];
  const scale = Math.sqrt(2 / squares);
  const s = Array.from(e, (entry) => entry * scale);
  const cof = cofactors(s);
  const [x, y, z] = t as [number, number, number];
  const te = multiply([0, -z, y, z, 0, -x, -y, x, 0], s);
  const plus = orthonormal(cof.map((entry, i) => entry - te[i]));
  const minus = orthonormal(cof.map((entry, i) => entry + te[i]));
  const back = t.map((entry) => -entry);
  return [
    { rotation: plus, translation: t },
    { rotation: plus, translation: back },
    { rotation: minus, translation: t },
    { rotation: minus, translation: back },
  ];
}

function cofactors(m: readonly number[]): number[] {
  const r0 = [m[0], m[1], m[2]];
  const r1 = [m[3], m[4], m[5]];
  const r2 = [m[6], m[7], m[8]];
  return [...cross(r1, r2), ...cross(r2, r0), ...cross(r0, r1)];
}

/** Gram-Schmidt on the rows; the third row makes the determinant +1. */
function orthonormal(m: readonly number[]): number[] {
  const r0 = unit([m[0], m[1], m[2]]);
  const along = m[3] * r0[0] + m[4] * r0[1] + m[5] * r0[2];
  const r1 = unit([m[3] - along * r0[0], m[4] - along * r0[1], m[5] - along * r0[2]]);
  return [...r0, ...r1, ...cross(r0, r1)];
}

/**
 * Essential matrices that fit five matches exactly: up to ten, usually two to four, each of unit norm.
 *
 * @param points correspondences.
 * @param sample five indexes of matches.
 * @returns an empty list where the five matches do not determine a motion.
 * @see Nister 2004, "An efficient solution to the five-point relative pose problem", TPAMI 26. Differs in finding
 * the roots of the degree-10 polynomial through those of its derivatives instead of Sturm sequences.
 */
export function fivePoint(points: Correspondences, sample: ArrayLike<number>): Float64Array[] {
  return withArena((arena) => {
    const five = Array.from(sample, (i) => points.subarray(4 * i, 4 * i + 4));
    const out = arena.take(8 * 9 * MOST_SOLUTIONS);
    const count = kernels().fivePoint(arena.doubles(...five), out);
    return Array.from({ length: count }, (_, k) => arena.f64(out + 72 * k, 9).slice());
  });
}

/** The motion after a small change: rotation first turned by w, translation moved by d and brought to unit length. */
export function movedMotion(motion: Motion, w: Vec3, d: Vec3): Motion {
  const t = motion.translation;
  return {
    rotation: multiply(rotationFromAxisAngle(w), motion.rotation),
    translation: unit([t[0] + d[0], t[1] + d[1], t[2] + d[2]]),
  };
}
