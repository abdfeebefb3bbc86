import { type Correspondences, essentialOf } from "../geometry/essential.js";
import { symmetricEigen } from "../geometry/symmetric-eigen.js";
import { dot, type Mat3, type Vec3 } from "../geometry/vector.js";
import { upperMedian } from "../statistics.js";

const PASSES = 5;

/**
 * Direction of the translation for a known rotation, sign left open: the unit vector most nearly across all
 * (rotation xa) x xb, by iteratively reweighted least squares of the Sampson distance.
 *
 * @param start a translation to start from: without one, wrong matches weigh as much as right ones at first.
 * @param scale distance at which a match's weight has fallen to a quarter, in the coordinates' unit; where it is left
 * out, one and a half times the median distance of each pass.
 */
export function translationGiven(
  points: Correspondences,
  rotation: Mat3,
  start?: Vec3,
  scale?: number,
): number[] {
  const count = points.length >> 2;
  const normals = new Float64Array(3 * count);
  const residuals = new Float64Array(count);
  const weights = new Float64Array(count).fill(1);
  const r = Array.from(rotation, Number);
  for (let i = 0; i < count; i++) {
    const xa = points[4 * i];
    const ya = points[4 * i + 1];
    const xb = points[4 * i + 2];
    const yb = points[4 * i + 3];
    const p0 = r[0] * xa + r[1] * ya + r[2];
    const p1 = r[3] * xa + r[4] * ya + r[5];
    const p2 = r[6] * xa + r[7] * ya + r[8];
    normals[3 * i] = p1 - p2 * yb;
    normals[3 * i + 1] = p2 * xb - p0;
    normals[3 * i + 2] = p0 * yb - p1 * xb;
  }
  let t = start ? [start[0], start[1], start[2]] : [0, 0, 1];
  if (start) weigh(points, r, normals, t, residuals, weights, scale);
  for (let pass = 0; pass < PASSES; pass++) {
    const m = [0, 0, 0, 0, 0, 0, 0, 0, 0];
    for (let i = 0; i < count; i++) {
      const w = weights[i];
      const n0 = normals[3 * i];
      const n1 = normals[3 * i + 1];
      const n2 = normals[3 * i + 2];
      m[0] += w * n0 * n0;
      m[1] += w * n0 * n1;
      m[2] += w * n0 * n2;
      m[4] += w * n1 * n1;
      m[5] += w * n1 * n2;
      m[8] += w * n2 * n2;
    }
    m[3] = m[1];
    m[6] = m[2];
    m[7] = m[5];
    const [next] = symmetricEigen(m, 3).vectors;
    t = dot(next, t) < 0 ? next.map((c) => -c) : next;
    weigh(points, r, normals, t, residuals, weights, scale);
  }
  return t;
}

/** Weights of the next pass: Geman-McClure of the Sampson distance, over the squared length of its slope. */
function weigh(
  points: Correspondences,
  r: readonly number[],
  normals: Float64Array,
  t: readonly number[],
  residuals: Float64Array,
  weights: Float64Array,
  scale: number | undefined,
): void {
  const [x, y, z] = t;
  const [e0, e1, e2, e3, e4, e5, e6, e7] = essentialOf({ rotation: r, translation: t });
  for (let i = 0; i < weights.length; i++) {
    const xa = points[4 * i];
    const ya = points[4 * i + 1];
    const xb = points[4 * i + 2];
    const yb = points[4 * i + 3];
    const l0 = e0 * xa + e1 * ya + e2;
    const l1 = e3 * xa + e4 * ya + e5;
    const m0 = e0 * xb + e3 * yb + e6;
    const m1 = e1 * xb + e4 * yb + e7;
    const gradient = Math.max(l0 * l0 + l1 * l1 + m0 * m0 + m1 * m1, 1e-12);
    const n = x * normals[3 * i] + y * normals[3 * i + 1] + z * normals[3 * i + 2];
    residuals[i] = Math.abs(n) / Math.sqrt(gradient);
    weights[i] = 1 / gradient;
  }
  const typical = scale ?? Math.max(1e-9, 1.5 * upperMedian(residuals));
  for (let i = 0; i < weights.length; i++) weights[i] /= (1 + (residuals[i] / typical) ** 2) ** 2;
}
