import { NormalEquations } from "../geometry/normal-equations.js";
import { createRandom, drawSample } from "../geometry/random.js";
import { symmetricEigen } from "../geometry/symmetric-eigen.js";
import { addScaled, cross, dot, unit, type Vec3 } from "../geometry/vector.js";

/** The surface that the subject stands on, or hangs above. */
export interface LevelPlane {
  /** Unit vector upward, in the world of the points. */
  readonly normal: Vec3;
  /** Points on it. */
  readonly count: number;
}

/** Points are looked at within this many camera distances of the subject: further off their depth is vague. */
const REACH = 1;
/** Distance of a point on the plane, in camera distances: about 5 px of 1000 with a phone's lens. */
const WITHIN = 0.008;
const SAMPLES = 300;
const FEWEST_POINTS = 12;
const SMALLEST_SHARE = 0.12;
/** Standard deviation of the points along the plane's narrower side, in camera distances. */
const NARROWEST = 0.06;
/** A surface carries what stands on it, so nothing is seen below: each point there counts against three on the plane. */
const BELOW_COSTS = 3;
const MOST_BELOW_SHARE = 0.1;
const REFINEMENTS = 3;

/** height = slopeU u + slopeV v + offset, in camera distances about the subject. */
type Surface = readonly [slopeU: number, slopeV: number, offset: number];

/**
 * The table, cloth or ground under the subject: of all planes nearly across `up` and below the subject's centre, the
 * one with most points on it and hardly any beneath. Furniture and floors are level, so its normal tells which way is
 * up better than the roll of a few hand-held photos.
 *
 * @param points x, y, z of each, interleaved.
 * @param distance typical distance of the cameras from the subject, same unit.
 * @param withinDeg how far `up` may be off; a steeper plane is a slope, or no support at all.
 * @returns undefined where no plane stands out: a plain table shows no points.
 */
export function levelPlane(
  points: Float64Array,
  subject: Vec3,
  distance: number,
  up: Vec3,
  withinDeg: number,
): LevelPlane | undefined {
  const [right, ahead] = acrossOf(up);
  const near = nearPoints(points, subject, distance, [right, ahead, up]);
  const count = near.length / 3;
  if (count < FEWEST_POINTS) return undefined;
  const steepest = Math.tan((withinDeg * Math.PI) / 180);
  let surface = likeliest(near, steepest);
  if (!surface) return undefined;
  for (let pass = 0; pass < REFINEMENTS; pass++) surface = fitted(near, surface) ?? surface;
  const { on, below } = tally(near, surface);
  const enough = on.length >= Math.max(FEWEST_POINTS, SMALLEST_SHARE * count);
  const carries = below <= MOST_BELOW_SHARE * on.length && surface[2] < 0;
  const steep = Math.hypot(surface[0], surface[1]) > steepest;
  if (!enough || !carries || steep || narrowness(near, on) < NARROWEST) return undefined;
  const tilted = addScaled(addScaled(up, right, -surface[0]), ahead, -surface[1]);
  return { normal: unit(tilted), count: on.length };
}

function acrossOf(up: Vec3): [number[], number[]] {
  const [x, y, z] = up.map(Math.abs);
  const right = unit(cross(up, x <= y && x <= z ? [1, 0, 0] : y <= z ? [0, 1, 0] : [0, 0, 1]));
  return [right, cross(up, right)];
}

/** u, v and height of the points near the subject, in camera distances. */
function nearPoints(
  points: Float64Array,
  subject: Vec3,
  distance: number,
  axes: readonly Vec3[],
): Float64Array {
  const near: number[] = [];
  for (let p = 0; p < points.length; p += 3) {
    const offset = [points[p] - subject[0], points[p + 1] - subject[1], points[p + 2] - subject[2]];
    const [u, v, height] = axes.map((axis) => dot(offset, axis) / distance);
    if (u * u + v * v + height * height <= REACH * REACH) near.push(u, v, height);
  }
  return Float64Array.from(near);
}

function likeliest(near: Float64Array, steepest: number): Surface | undefined {
  const random = createRandom(1);
  const sample = new Int32Array(3);
  let best: Surface | undefined;
  let most = 0;
  for (let n = 0; n < SAMPLES; n++) {
    drawSample(random, near.length / 3, 3, sample);
    const surface = through(near, sample);
    if (!surface || Math.hypot(surface[0], surface[1]) > steepest || surface[2] >= 0) continue;
    const { on, below } = tally(near, surface);
    const score = on.length - BELOW_COSTS * below;
    if (score > most) {
      most = score;
      best = surface;
    }
  }
  return best;
}

function through(near: Float64Array, [p, q, r]: ArrayLike<number> & Iterable<number>): Surface | undefined {
  const [u1, v1, h1] = [0, 1, 2].map((c) => near[3 * q + c] - near[3 * p + c]);
  const [u2, v2, h2] = [0, 1, 2].map((c) => near[3 * r + c] - near[3 * p + c]);
  const area = u1 * v2 - u2 * v1;
  if (Math.abs(area) < NARROWEST * NARROWEST) return undefined;
  const slopeU = (h1 * v2 - h2 * v1) / area;
  const slopeV = (u1 * h2 - u2 * h1) / area;
  return [slopeU, slopeV, near[3 * p + 2] - slopeU * near[3 * p] - slopeV * near[3 * p + 1]];
}

/** Points on the surface, and how many lie clearly beneath it where it is seen. */
function tally(near: Float64Array, [slopeU, slopeV, offset]: Surface): { on: number[]; below: number } {
  const on: number[] = [];
  const under: number[] = [];
  let reach = 0;
  for (let p = 0; p < near.length; p += 3) {
    const above = near[p + 2] - slopeU * near[p] - slopeV * near[p + 1] - offset;
    if (Math.abs(above) <= WITHIN) {
      on.push(p);
      reach += near[p] ** 2 + near[p + 1] ** 2;
    } else if (above < -3 * WITHIN) under.push(near[p] ** 2 + near[p + 1] ** 2);
  }
  // Beyond the table's edge the floor may be seen.
  const seen = reach / Math.max(1, on.length);
  return { on, below: under.filter((squared) => squared <= seen).length };
}

function fitted(near: Float64Array, surface: Surface): Surface | undefined {
  const { on } = tally(near, surface);
  const sums = new NormalEquations();
  for (const p of on) sums.addRow(near[p], near[p + 1], 1, near[p + 2], 1);
  return sums.solve() as Surface | undefined;
}

/** Standard deviation of the points along the narrower of their two principal directions. */
function narrowness(near: Float64Array, on: readonly number[]): number {
  const mean = [0, 1].map((c) => on.reduce((sum, p) => sum + near[p + c], 0) / on.length);
  const scatter = [0, 0, 0, 0];
  for (const p of on) {
    const [u, v] = [near[p] - mean[0], near[p + 1] - mean[1]];
    scatter[0] += u * u;
    scatter[1] += u * v;
    scatter[3] += v * v;
  }
  scatter[2] = scatter[1];
  return Math.sqrt(Math.max(0, symmetricEigen(scatter, 2).values[0]) / on.length);
}
