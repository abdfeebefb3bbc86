import { addOuter } from "./outer";

/**
 * Matches of two photos against a motion of the camera, double precision: see measure/geometry/refine.ts. Matches are four
 * numbers each, (xa, ya, xb, yb); matrices nine, row by row.
 */

/** Squared Sampson distance of one match: see measure/geometry/sampson.ts. */
function sampsonSquared(match: usize, e: usize): f64 {
  const xa = load<f64>(match);
  const ya = load<f64>(match, 8);
  const xb = load<f64>(match, 16);
  const yb = load<f64>(match, 24);
  const l0 = load<f64>(e) * xa + load<f64>(e, 8) * ya + load<f64>(e, 16);
  const l1 = load<f64>(e, 24) * xa + load<f64>(e, 32) * ya + load<f64>(e, 40);
  const l2 = load<f64>(e, 48) * xa + load<f64>(e, 56) * ya + load<f64>(e, 64);
  const m0 = load<f64>(e) * xb + load<f64>(e, 24) * yb + load<f64>(e, 48);
  const m1 = load<f64>(e, 8) * xb + load<f64>(e, 32) * yb + load<f64>(e, 56);
  const r = xb * l0 + yb * l1 + l2;
  const gradient = l0 * l0 + l1 * l1 + m0 * m0 + m1 * m1;
  return gradient > 0 ? (r * r) / gradient : 0;
}

/** Squared Sampson distances of all matches. @param out f64, one a match */
export function sampsonDistances(matches: usize, count: i32, e: usize, out: usize): void {
  for (let i = 0; i < count; i++) store<f64>(out + 8 * i, sampsonSquared(matches + 32 * i, e));
}

/**
 * Mean of min(1, squared Sampson distance / limit); 1 without matches.
 *
 * @param limit squared distance
 * @returns Infinity as soon as it is more than giveUpAt
 */
export function truncatedCost(matches: usize, count: i32, e: usize, limit: f64, giveUpAt: f64): f64 {
  if (count === 0) return 1;
  const most = giveUpAt * count;
  let sum: f64 = 0;
  for (let i = 0; i < count; i++) {
    sum += min(1, sampsonSquared(matches + 32 * i, e) / limit);
    if (sum > most) return Infinity;
  }
  return sum / count;
}

/**
 * Normal equations of the five parameters of a motion: the slopes of the Sampson distances, those of their denominators
 * left out, weighted by Geman-McClure.
 *
 * @param motion rotation (9), translation (3) and the two directions that it can move in (3 each)
 * @param square scale of the weights, squared
 * @param row six f64 to work in
 * @param out five rows of six f64, zeros at first: the symmetric matrix, and behind each of its rows the right side
 * @returns sum of r^2 / (r^2 + square)
 */
export function addMotionEquations(
  matches: usize,
  count: i32,
  motion: usize,
  square: f64,
  row: usize,
  out: usize,
): f64 {
  const r0 = load<f64>(motion);
  const r1 = load<f64>(motion, 8);
  const r2 = load<f64>(motion, 16);
  const r3 = load<f64>(motion, 24);
  const r4 = load<f64>(motion, 32);
  const r5 = load<f64>(motion, 40);
  const r6 = load<f64>(motion, 48);
  const r7 = load<f64>(motion, 56);
  const r8 = load<f64>(motion, 64);
  const t0 = load<f64>(motion, 72);
  const t1 = load<f64>(motion, 80);
  const t2 = load<f64>(motion, 88);
  const g0 = load<f64>(motion, 96);
  const g1 = load<f64>(motion, 104);
  const g2 = load<f64>(motion, 112);
  const h0 = load<f64>(motion, 120);
  const h1 = load<f64>(motion, 128);
  const h2 = load<f64>(motion, 136);
  let cost: f64 = 0;
  for (let i = 0; i < count; i++) {
    const match = matches + 32 * i;
    const xa = load<f64>(match);
    const ya = load<f64>(match, 8);
    const xb = load<f64>(match, 16);
    const yb = load<f64>(match, 24);
    // p = R xa and s = xb x t: the epipolar lines are t x p in b and RT s in a.
    const p0 = r0 * xa + r1 * ya + r2;
    const p1 = r3 * xa + r4 * ya + r5;
    const p2 = r6 * xa + r7 * ya + r8;
    const s0 = yb * t2 - t1;
    const s1 = t0 - xb * t2;
    const s2 = xb * t1 - yb * t0;
    const l0 = t1 * p2 - t2 * p1;
    const l1 = t2 * p0 - t0 * p2;
    const m0 = r0 * s0 + r3 * s1 + r6 * s2;
    const m1 = r1 * s0 + r4 * s1 + r7 * s2;
    const gradient = l0 * l0 + l1 * l1 + m0 * m0 + m1 * m1;
    if (gradient <= 0) continue;
    const inverse = 1 / sqrt(gradient);
    // p x xb: the slope of the residual along the translation.
    const q0 = p1 - p2 * yb;
    const q1 = p2 * xb - p0;
    const q2 = p0 * yb - p1 * xb;
    const residual = (t0 * q0 + t1 * q1 + t2 * q2) * inverse;
    const squared = residual * residual;
    cost += squared / (squared + square);
    const root = square / (squared + square);
    // p x s: the slope along the rotation.
    store<f64>(row, (p1 * s2 - p2 * s1) * inverse);
    store<f64>(row, (p2 * s0 - p0 * s2) * inverse, 8);
    store<f64>(row, (p0 * s1 - p1 * s0) * inverse, 16);
    store<f64>(row, (g0 * q0 + g1 * q1 + g2 * q2) * inverse, 24);
    store<f64>(row, (h0 * q0 + h1 * q1 + h2 * q2) * inverse, 32);
    store<f64>(row, -residual, 40);
    addOuter(root * root, row, 5, row, out);
  }
  return cost;
}

/**
 * Sum of w n nT over all matches, where n = (R xa) x xb is across the translation, and w is Geman-McClure of the Sampson
 * distance over the squared length of its slope.
 *
 * @param motion rotation (9) and translation (3); with a translation of zero all matches weigh alike
 * @param square distance at which a weight has fallen to a quarter, squared
 * @param out six f64, zeros at first: xx, xy, xz, yy, yz, zz
 */
export function addNormals(matches: usize, count: i32, motion: usize, square: f64, out: usize): void {
  const t0 = load<f64>(motion, 72);
  const t1 = load<f64>(motion, 80);
  const t2 = load<f64>(motion, 88);
  for (let i = 0; i < count; i++) {
    const match = matches + 32 * i;
    const xa = load<f64>(match);
    const ya = load<f64>(match, 8);
    const xb = load<f64>(match, 16);
    const yb = load<f64>(match, 24);
    const p0 = load<f64>(motion) * xa + load<f64>(motion, 8) * ya + load<f64>(motion, 16);
    const p1 = load<f64>(motion, 24) * xa + load<f64>(motion, 32) * ya + load<f64>(motion, 40);
    const p2 = load<f64>(motion, 48) * xa + load<f64>(motion, 56) * ya + load<f64>(motion, 64);
    const n0 = p1 - p2 * yb;
    const n1 = p2 * xb - p0;
    const n2 = p0 * yb - p1 * xb;
    const s0 = yb * t2 - t1;
    const s1 = t0 - xb * t2;
    const s2 = xb * t1 - yb * t0;
    const l0 = t1 * p2 - t2 * p1;
    const l1 = t2 * p0 - t0 * p2;
    const m0 = load<f64>(motion) * s0 + load<f64>(motion, 24) * s1 + load<f64>(motion, 48) * s2;
    const m1 = load<f64>(motion, 8) * s0 + load<f64>(motion, 32) * s1 + load<f64>(motion, 56) * s2;
    // Where there is no slope the distance means nothing; this is a slope far below a pixel's.
    const gradient = max(l0 * l0 + l1 * l1 + m0 * m0 + m1 * m1, 1e-12);
    const off = t0 * n0 + t1 * n1 + t2 * n2;
    const far = 1 + (off * off) / gradient / square;
    const w = 1 / (gradient * far * far);
    store<f64>(out, load<f64>(out) + w * n0 * n0);
    store<f64>(out, load<f64>(out, 8) + w * n0 * n1, 8);
    store<f64>(out, load<f64>(out, 16) + w * n0 * n2, 16);
    store<f64>(out, load<f64>(out, 24) + w * n1 * n1, 24);
    store<f64>(out, load<f64>(out, 32) + w * n1 * n2, 32);
    store<f64>(out, load<f64>(out, 40) + w * n2 * n2, 40);
  }
}
