import { realRoots } from "./polynomial.js";
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

/** Roots beyond this are solutions that hardly contain the last null vector: numerically worthless, and rare. */
const ROOT_BOUND = 200;

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
  const basis = nullSpace(points, sample);
  if (!basis) return [];
  const rows = eliminated(constraints(basis));
  if (!rows) return [];
  return solutions(rows, basis);
}

/** Orthonormal basis, four vectors of nine numbers, of the matrices that satisfy five epipolar equations. */
function nullSpace(points: Correspondences, sample: ArrayLike<number>): Float64Array | undefined {
  // Householder-free: Gram-Schmidt of the five equations, then of unit vectors against all that came before.
  const space = new Float64Array(9 * 9);
  for (let k = 0; k < 5; k++) {
    const p = 4 * sample[k];
    const xa = points[p];
    const ya = points[p + 1];
    const xb = points[p + 2];
    const yb = points[p + 3];
    space.set([xb * xa, xb * ya, xb, yb * xa, yb * ya, yb, xa, ya, 1], 9 * k);
    if (!orthogonalise(space, k, 1e-9)) return undefined;
  }
  let rank = 5;
  const used = new Uint8Array(9);
  while (rank < 9) {
    // The unit vector that the space so far covers least keeps the basis well conditioned.
    let best = -1;
    let least = Number.POSITIVE_INFINITY;
    for (let i = 0; i < 9; i++) {
      if (used[i]) continue;
      let covered = 0;
      for (let k = 0; k < rank; k++) covered += space[9 * k + i] ** 2;
      if (covered < least) {
        least = covered;
        best = i;
      }
    }
    used[best] = 1;
    space.fill(0, 9 * rank, 9 * rank + 9);
    space[9 * rank + best] = 1;
    if (!orthogonalise(space, rank, 1e-9)) return undefined;
    rank++;
  }
  return space.subarray(45);
}

/** Makes vector k orthogonal to those before it (twice, for accuracy) and of unit length. */
function orthogonalise(space: Float64Array, k: number, tiny: number): boolean {
  const at = 9 * k;
  let before = 0;
  for (let i = 0; i < 9; i++) before += space[at + i] ** 2;
  let norm = before;
  for (let pass = 0; pass < 2; pass++) {
    for (let j = 0; j < k; j++) {
      let along = 0;
      for (let i = 0; i < 9; i++) along += space[at + i] * space[9 * j + i];
      for (let i = 0; i < 9; i++) space[at + i] -= along * space[9 * j + i];
    }
  }
  norm = 0;
  for (let i = 0; i < 9; i++) norm += space[at + i] ** 2;
  if (norm <= tiny * tiny * before) return false;
  const inverse = 1 / Math.sqrt(norm);
  for (let i = 0; i < 9; i++) space[at + i] *= inverse;
  return true;
}

// Monomials of x, y, z up to degree 3 in Nister's order, and up to degree 2 in any order, as exponents.
const CUBIC: readonly (readonly [number, number, number])[] = [
  [3, 0, 0],
  [0, 3, 0],
  [2, 1, 0],
  [1, 2, 0],
  [2, 0, 1],
  [2, 0, 0],
  [0, 2, 1],
  [0, 2, 0],
  [1, 1, 1],
  [1, 1, 0],
  [1, 0, 2],
  [1, 0, 1],
  [1, 0, 0],
  [0, 1, 2],
  [0, 1, 1],
  [0, 1, 0],
  [0, 0, 3],
  [0, 0, 2],
  [0, 0, 1],
  [0, 0, 0],
];
const LINEAR = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
  [0, 0, 0],
] as const;
const QUADRATIC = CUBIC.filter(([i, j, k]) => i + j + k <= 2);

function productTable(
  left: readonly (readonly number[])[],
  right: readonly (readonly number[])[],
  out: readonly (readonly number[])[],
): Uint8Array {
  return Uint8Array.from(
    left.flatMap((a) =>
      right.map((b) => out.findIndex((m) => m.every((exponent, i) => exponent === a[i] + b[i]))),
    ),
  );
}
const LINEAR_LINEAR = productTable(LINEAR, LINEAR, QUADRATIC);
const QUADRATIC_LINEAR = productTable(QUADRATIC, LINEAR, CUBIC);

/** out += factor * a * b, a and b linear, out quadratic. */
function addProduct2(
  out: Float64Array,
  a: Float64Array,
  atA: number,
  b: Float64Array,
  atB: number,
  factor: number,
) {
  for (let i = 0; i < 4; i++) {
    const f = factor * a[atA + i];
    for (let j = 0; j < 4; j++) out[LINEAR_LINEAR[4 * i + j]] += f * b[atB + j];
  }
}

/** out[at..] += factor * q * l, q quadratic, l linear, out cubic. */
function addProduct3(
  out: Float64Array,
  at: number,
  q: Float64Array,
  l: Float64Array,
  atL: number,
  factor: number,
) {
  for (let i = 0; i < 10; i++) {
    const f = factor * q[i];
    if (f === 0) continue;
    for (let j = 0; j < 4; j++) out[at + QUADRATIC_LINEAR[4 * i + j]] += f * l[atL + j];
  }
}

/** Ten cubic equations, 20 coefficients each: det E = 0 and 2 E ET E - trace(E ET) E = 0. */
function constraints(basis: Float64Array): Float64Array {
  // entry[4 i + k]: coefficient of the k-th null vector in E[i]; the fourth stands alone.
  const entry = new Float64Array(36);
  for (let i = 0; i < 9; i++) for (let k = 0; k < 4; k++) entry[4 * i + k] = basis[9 * k + i];
  const out = new Float64Array(200);
  // det E, by the first row.
  const minor = new Float64Array(10);
  for (let c = 0; c < 3; c++) {
    const c1 = (c + 1) % 3;
    const c2 = (c + 2) % 3;
    minor.fill(0);
    addProduct2(minor, entry, 4 * (3 + c1), entry, 4 * (6 + c2), 1);
    addProduct2(minor, entry, 4 * (3 + c2), entry, 4 * (6 + c1), -1);
    addProduct3(out, 0, minor, entry, 4 * c, 1);
  }
  // G = E ET - trace / 2, then G E = 0.
  const gram: Float64Array[] = [];
  for (let r = 0; r < 3; r++) {
    for (let c = 0; c < 3; c++) {
      const g = new Float64Array(10);
      if (c < r) g.set(gram[3 * c + r]);
      else for (let k = 0; k < 3; k++) addProduct2(g, entry, 4 * (3 * r + k), entry, 4 * (3 * c + k), 1);
      gram.push(g);
    }
  }
  const half = new Float64Array(10);
  for (let i = 0; i < 10; i++) half[i] = (gram[0][i] + gram[4][i] + gram[8][i]) / 2;
  for (let d = 0; d < 9; d += 4) for (let i = 0; i < 10; i++) gram[d][i] -= half[i];
  for (let r = 0; r < 3; r++) {
    for (let c = 0; c < 3; c++) {
      const at = 20 * (1 + 3 * r + c);
      for (let k = 0; k < 3; k++) addProduct3(out, at, gram[3 * r + k], entry, 4 * (3 * k + c), 1);
    }
  }
  return out;
}

/** Gauss-Jordan elimination with partial pivoting: the first ten columns become the identity. */
function eliminated(m: Float64Array): Float64Array | undefined {
  for (let column = 0; column < 10; column++) {
    let pivot = column;
    for (let r = column + 1; r < 10; r++) {
      if (Math.abs(m[20 * r + column]) > Math.abs(m[20 * pivot + column])) pivot = r;
    }
    const value = m[20 * pivot + column];
    if (Math.abs(value) < 1e-14) return undefined;
    if (pivot !== column) {
      for (let c = column; c < 20; c++) {
        const swap = m[20 * pivot + c];
        m[20 * pivot + c] = m[20 * column + c];
        m[20 * column + c] = swap;
      }
    }
    for (let c = column; c < 20; c++) m[20 * column + c] /= value;
    for (let r = 0; r < 10; r++) {
      // Rows 0 to 3 are never read again, so they need no clearing above the diagonal.
      if (r === column || (r < column && r < 4)) continue;
      const f = m[20 * r + column];
      if (f === 0) continue;
      for (let c = column; c < 20; c++) m[20 * r + c] -= f * m[20 * column + c];
    }
  }
  return m;
}

/** Rows 4 to 9 pairwise free of x2, y2, xy: three equations linear in x and y, polynomial in z. */
function solutions(m: Float64Array, basis: Float64Array): Float64Array[] {
  // b[row]: polynomial in z (constant first) times x (4), times y (4), alone (5).
  const b: [Float64Array, Float64Array, Float64Array][] = [];
  for (const row of [4, 6, 8]) {
    const u = 20 * row;
    const w = 20 * (row + 1);
    const x = new Float64Array(4);
    const y = new Float64Array(4);
    const one = new Float64Array(5);
    // upper row: monomials x z2, x z, x; lower row the same, times z and subtracted.
    for (let k = 0; k < 3; k++) {
      x[2 - k] += m[u + 10 + k];
      x[3 - k] -= m[w + 10 + k];
      y[2 - k] += m[u + 13 + k];
      y[3 - k] -= m[w + 13 + k];
    }
    for (let k = 0; k < 4; k++) {
      one[3 - k] += m[u + 16 + k];
      one[4 - k] -= m[w + 16 + k];
    }
    b.push([x, y, one]);
  }
  const determinantPolynomial = new Float64Array(11);
  for (const [i, j, k, sign] of PERMUTATIONS) {
    addTriple(determinantPolynomial, b[0][i], b[1][j], b[2][k], sign);
  }
  const found: Float64Array[] = [];
  for (const z of realRoots(determinantPolynomial, ROOT_BOUND)) {
    const rows = b.map((polynomials) => polynomials.map((p) => at(p, z)));
    // (x, y, 1) is orthogonal to all three rows: the longest product of two rows is the best conditioned.
    let best = [0, 0, 0];
    for (const [i, j] of [
      [0, 1],
      [1, 2],
      [0, 2],
    ] as const) {
      const p = cross(rows[i], rows[j]);
      if (Math.abs(p[2]) > Math.abs(best[2])) best = p;
    }
    if (best[2] === 0) continue;
    const x = best[0] / best[2];
    const y = best[1] / best[2];
    const e = new Float64Array(9);
    let norm = 0;
    for (let i = 0; i < 9; i++) {
      e[i] = x * basis[i] + y * basis[9 + i] + z * basis[18 + i] + basis[27 + i];
      norm += e[i] ** 2;
    }
    norm = 1 / Math.sqrt(norm);
    if (!Number.isFinite(norm)) continue;
    for (let i = 0; i < 9; i++) e[i] *= norm;
    found.push(e);
  }
  return found;
}

const PERMUTATIONS = [
  [0, 1, 2, 1],
  [1, 2, 0, 1],
  [2, 0, 1, 1],
  [2, 1, 0, -1],
  [1, 0, 2, -1],
  [0, 2, 1, -1],
] as const;

function addTriple(out: Float64Array, a: Float64Array, b: Float64Array, c: Float64Array, sign: number): void {
  for (let i = 0; i < a.length; i++) {
    for (let j = 0; j < b.length; j++) {
      const ab = sign * a[i] * b[j];
      for (let k = 0; k < c.length; k++) out[i + j + k] += ab * c[k];
    }
  }
}

function at(p: Float64Array, z: number): number {
  let sum = 0;
  for (let i = p.length - 1; i >= 0; i--) sum = sum * z + p[i];
  return sum;
}

/** The motion after a small change: rotation first turned by w, translation moved by d and brought to unit length. */
export function movedMotion(motion: Motion, w: Vec3, d: Vec3): Motion {
  const t = motion.translation;
  return {
    rotation: multiply(rotationFromAxisAngle(w), motion.rotation),
    translation: unit([t[0] + d[0], t[1] + d[1], t[2] + d[2]]),
  };
}
