import type { Correspondences, Motion } from "./essential.js";

/** Where the two rays of a match come closest, in units of the baseline. */
export interface Depths {
  /** Depth (z) in a's frame; negative behind the camera. */
  readonly inA: Float64Array;
  /** Depth (z) in b's frame. */
  readonly inB: Float64Array;
  /** Sine of the angle between the two rays: under a pixel's angle the depth is noise. */
  readonly parallax: Float64Array;
}

/**
 * Depth of every match under a motion: the linear solution of xb x (depth R xa + t) = 0, exact for exact matches.
 * Depth is infinite where the rays are parallel.
 *
 * @see Hartley and Zisserman, Multiple View Geometry, section 12.2 (cited from memory).
 */
export function depthsOf(points: Correspondences, motion: Motion): Depths {
  const count = points.length >> 2;
  const inA = new Float64Array(count);
  const inB = new Float64Array(count);
  const parallax = new Float64Array(count);
  const r = Array.from(motion.rotation, Number);
  const [t0, t1, t2] = motion.translation as [number, number, number];
  for (let i = 0; i < count; i++) {
    const xa = points[4 * i];
    const ya = points[4 * i + 1];
    const xb = points[4 * i + 2];
    const yb = points[4 * i + 3];
    const p0 = r[0] * xa + r[1] * ya + r[2];
    const p1 = r[3] * xa + r[4] * ya + r[5];
    const p2 = r[6] * xa + r[7] * ya + r[8];
    // xb x p and xb x t.
    const c0 = yb * p2 - p1;
    const c1 = p0 - xb * p2;
    const c2 = xb * p1 - yb * p0;
    const d0 = yb * t2 - t1;
    const d1 = t0 - xb * t2;
    const d2 = xb * t1 - yb * t0;
    const squared = c0 * c0 + c1 * c1 + c2 * c2;
    const depth = -(c0 * d0 + c1 * d1 + c2 * d2) / squared;
    inA[i] = depth;
    inB[i] = depth * p2 + t2;
    parallax[i] = Math.sqrt(squared / ((xb * xb + yb * yb + 1) * (p0 * p0 + p1 * p1 + p2 * p2)));
  }
  return { inA, inB, parallax };
}
