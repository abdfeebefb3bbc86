import type { Correspondences } from "../geometry/essential.js";
import { nearestRotation } from "../geometry/rotation.js";
import type { Mat3 } from "../geometry/vector.js";
import { upperMedian } from "../statistics.js";

export interface Turn {
  readonly rotation: Mat3;
  /** Median angle between b's rays and a's turned rays, radians. */
  readonly medianAngle: number;
}

const PASSES = 6;

/**
 * The pure rotation that best explains the matches, by iteratively reweighted least squares on rays: the weights
 * follow the angle left over (least absolute deviation first, then the better half only), so that a minority of
 * wrong or near points does not pull it.
 *
 * @param points at least two matches.
 * @see Horn 1987, "Closed-form solution of absolute orientation using unit quaternions", JOSA A 4.
 */
export function bestRotation(points: Correspondences): Turn {
  const count = points.length >> 2;
  const angles = new Float64Array(count);
  const weights = new Float64Array(count).fill(1);
  let rotation: Mat3 = turnOf(points, weights);
  let median = medianAngle(points, rotation, angles);
  for (let pass = 0; pass < PASSES; pass++) {
    const scale = Math.max(median, 1e-9);
    for (let i = 0; i < count; i++) {
      const q = angles[i] / scale;
      weights[i] = pass < 2 ? 1 / Math.max(q, 0.1) : 1 / (1 + q * q) ** 2;
    }
    const next = turnOf(points, weights);
    const nextMedian = medianAngle(points, next, angles);
    if (nextMedian >= median && pass > 2) break;
    rotation = next;
    median = nextMedian;
  }
  return { rotation, medianAngle: median };
}

/** Weighted rotation of a's rays onto b's. */
function turnOf(points: Correspondences, weights: Float64Array): number[] {
  const m = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  for (let i = 0; i < weights.length; i++) {
    const xa = points[4 * i];
    const ya = points[4 * i + 1];
    const xb = points[4 * i + 2];
    const yb = points[4 * i + 3];
    const w = weights[i] / Math.sqrt((xa * xa + ya * ya + 1) * (xb * xb + yb * yb + 1));
    m[0] += w * xb * xa;
    m[1] += w * xb * ya;
    m[2] += w * xb;
    m[3] += w * yb * xa;
    m[4] += w * yb * ya;
    m[5] += w * yb;
    m[6] += w * xa;
    m[7] += w * ya;
    m[8] += w;
  }
  return nearestRotation(m);
}

function medianAngle(points: Correspondences, r: Mat3, angles: Float64Array): number {
  for (let i = 0; i < angles.length; i++) {
    const xa = points[4 * i];
    const ya = points[4 * i + 1];
    const xb = points[4 * i + 2];
    const yb = points[4 * i + 3];
    const p0 = r[0] * xa + r[1] * ya + r[2];
    const p1 = r[3] * xa + r[4] * ya + r[5];
    const p2 = r[6] * xa + r[7] * ya + r[8];
    const c0 = yb * p2 - p1;
    const c1 = p0 - xb * p2;
    const c2 = xb * p1 - yb * p0;
    angles[i] = Math.atan2(Math.sqrt(c0 * c0 + c1 * c1 + c2 * c2), xb * p0 + yb * p1 + p2);
  }
  return upperMedian(angles);
}
