import { NormalEquations } from "../geometry/normal-equations.js";
import { createRandom, drawSample } from "../geometry/random.js";
import { symmetricEigen } from "../geometry/symmetric-eigen.js";
import { addScaled, cross, dot, unit, type Vec3 } from "../geometry/vector.js";

/** The surface that the subject stands on, or hangs above: points p with dot(normal, p) = height. */
export interface LevelPlane {
  /** Unit vector upward, in the world of the points. */
  readonly normal: Vec3;
  readonly height: number;
  /** Points on it. */
  readonly count: number;
}

/** Distance of a point on the plane, as a share of the reach: about 5 px of 1000 with a phone's lens; cloth has folds. */
const WITHIN = 0.008;
// The numbers below were chosen, not measured one by one: docs/evaluation-around.md and docs/evaluation-subject.md hold
// what comes of them, heights and regions, to exact truth.
const SAMPLES = 300;
const FEWEST_POINTS = 12;
/** Share of the points looked at that lie on the plane. */
const SMALLEST_SHARE = 0.12;
/** Standard deviation of the points along the plane's narrower side, as a share of the reach. */
const NARROWEST = 0.06;
/** A surface carries what stands on it, so nothing is seen below: each point there counts against three on the plane. */
const BELOW_COSTS = 3;
const MOST_BELOW_SHARE = 0.1;
const REFINEMENTS = 3;

/** height = slopeU u + slopeV v + offset, in shares of the reach about the subject. */
type Surface = readonly [slopeU: number, slopeV: number, offset: number];

/**
 * The table, cloth or ground under the subject: of all planes nearly across `up` and below the subject's centre, the
 * one with most points on it and hardly any beneath. Furniture and floors are level, so its normal tells which way is
 * up better than the roll of a few hand-held photos. A lid is level too, but has the subject's sides beneath it.
 *
 * @param points x, y, z of each, interleaved.
 * @param reach points are looked at within this of the subject, same unit: further off they are vague, or another's.
 * @param withinDeg how far `up` may be off; a steeper plane is a slope, or no support at all.
 * @returns undefined where no plane stands out: a plain table shows no points.
 */
export function levelPlane(
  points: Float64Array,
  subject: Vec3,
  reach: number,
  up: Vec3,
  withinDeg: number,
): LevelPlane | undefined {
  const [right, ahead] = acrossOf(up);
  const near = nearPoints(points, subject, reach, [right, ahead, up]);
  const count = near.length / 3;
  if (count < FEWEST_POINTS) return undefined;
  const steepest = Math.tan((withinDeg * Math.PI) / 180);
  let surface = likeliest(near, steepest);
  if (!surface) return undefined;
  for (let pass = 0; pass < REFINEMENTS; pass++) surface = fitted(near, pointsOn(near, surface)) ?? surface;
  const on = pointsOn(near, surface);
  const [slopeU, slopeV, offset] = surface;
  const enough = on.length >= Math.max(FEWEST_POINTS, SMALLEST_SHARE * count);
  const carries = countBelow(near, surface, on) <= MOST_BELOW_SHARE * on.length && offset < 0;
  const steep = Math.hypot(slopeU, slopeV) > steepest;
  if (!enough || !carries || steep || narrowness(near, on) < NARROWEST) return undefined;
  const normal = unit(addScaled(addScaled(up, right, -slopeU), ahead, -slopeV));
  return { normal, height: dot(normal, addScaled(subject, up, reach * offset)), count: on.length };
}

function acrossOf(up: Vec3): [number[], number[]] {
  const [x, y, z] = up.map(Math.abs);
  const right = unit(cross(up, x <= y && x <= z ? [1, 0, 0] : y <= z ? [0, 1, 0] : [0, 0, 1]));
  return [right, cross(up, right)];
}

/** u, v and height of the points near the subject, in shares of the reach. */
function nearPoints(points: Float64Array, subject: Vec3, reach: number, axes: readonly Vec3[]): Float64Array {
  const near: number[] = [];
  for (let p = 0; p < points.length; p += 3) {
    const offset = [points[p] - subject[0], points[p + 1] - subject[1], points[p + 2] - subject[2]];
    const [u, v, height] = axes.map((axis) => dot(offset, axis) / reach);
    if (u * u + v * v + height * height <= 1) near.push(u, v, height);
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
    const on = pointsOn(near, surface);
    // Points below can only lower it.
    if (on.length <= most) continue;
    const score = on.length - BELOW_COSTS * countBelow(near, surface, on);
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

/** The points on a surface, by where they stand in the list. */
function pointsOn(near: Float64Array, [slopeU, slopeV, offset]: Surface): number[] {
  const on: number[] = [];
  for (let p = 0; p < near.length; p += 3) {
    const above = near[p + 2] - slopeU * near[p] - slopeV * near[p + 1] - offset;
    if (Math.abs(above) <= WITHIN) on.push(p);
  }
  return on;
}

/** How many points lie clearly beneath a surface where it is seen: beyond the table's edge the floor may be seen. */
function countBelow(near: Float64Array, [slopeU, slopeV, offset]: Surface, on: readonly number[]): number {
  let seen = 0;
  for (const p of on) seen += (near[p] ** 2 + near[p + 1] ** 2) / on.length;
  let below = 0;
  for (let p = 0; p < near.length; p += 3) {
    const above = near[p + 2] - slopeU * near[p] - slopeV * near[p + 1] - offset;
    if (above < -3 * WITHIN && near[p] ** 2 + near[p + 1] ** 2 <= seen) below++;
  }
  return below;
}

function fitted(near: Float64Array, on: readonly number[]): Surface | undefined {
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
