import type { Correspondences } from "../geometry/essential.js";
import type { Intrinsics } from "./intrinsics.js";

/** Where keypoints lie: the part of Features that geometry needs. */
export interface Points {
  readonly x: ArrayLike<number>;
  readonly y: ArrayLike<number>;
}

/**
 * Matched keypoints as rays of both cameras.
 *
 * @param inliers index pairs (ia, ib, ia, ib, ...).
 */
export function raysOf(
  a: Points,
  b: Points,
  inliers: ArrayLike<number>,
  cameraA: Intrinsics,
  cameraB: Intrinsics,
): Correspondences {
  const rays = new Float64Array(2 * inliers.length);
  for (let i = 0; i < inliers.length; i += 2) {
    const ia = inliers[i];
    const ib = inliers[i + 1];
    rays[2 * i] = (a.x[ia] - cameraA.centreX) / cameraA.focalPx;
    rays[2 * i + 1] = (a.y[ia] - cameraA.centreY) / cameraA.focalPx;
    rays[2 * i + 2] = (b.x[ib] - cameraB.centreX) / cameraB.focalPx;
    rays[2 * i + 3] = (b.y[ib] - cameraB.centreY) / cameraB.focalPx;
  }
  return rays;
}
