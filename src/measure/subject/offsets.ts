import type { Features } from "../../types/photo.js";
import { measureDrift } from "../pair/drift.js";
import { type Difference, solveOffsets } from "../set/solve.js";
import { keypointShares, ON_SUBJECT } from "./cover.js";
import { type HeldRegion, regionOf } from "./region.js";

/** Residual at which a difference starts to lose its say: as for the whole frame (measure/set/solved.ts). */
const SCALE_STOPS = 0.25;
const ENOUGH_MATCHES = 200;

/** Photo pairs by place, with their confirmed matches. */
export interface OffsetPair {
  readonly i: number;
  readonly j: number;
  readonly inliers: ArrayLike<number>;
  /** Whether the sharpness of the two may be compared; absent: it may. */
  readonly comparable?: boolean;
}

/**
 * Fine detail of the subject in each photo against the others, from the matches that lie on it in both pictures, solved
 * over all pairs to one value a photo.
 *
 * @returns log2 of fine band energy, exposure taken out, one a photo; undefined where too few matches tell it
 */
export function detailOffsets(
  featuresOf: (photo: number) => Features,
  regions: readonly HeldRegion[],
  pairs: readonly OffsetPair[],
): readonly (number | undefined)[] {
  const onSubject = markKeypoints(featuresOf, regions);
  const differences: Difference[] = [];
  for (const { i: a, j: b, inliers, comparable = true } of pairs) {
    if (!comparable) continue;
    const shared = matchesOn(inliers, onSubject[a], onSubject[b]);
    const value = measureDrift(featuresOf(a), featuresOf(b), shared).relativeDetail;
    if (value !== undefined)
      differences.push({ a, b, value, weight: Math.min(shared.length >> 1, ENOUGH_MATCHES) });
  }
  return solveOffsets(regions.length, differences, SCALE_STOPS).values;
}

/** For each photo which keypoints lie on the subject: 1 those that do, 0 the others. */
export function markKeypoints(
  featuresOf: (photo: number) => Features,
  regions: readonly HeldRegion[],
): Uint8Array[] {
  return regions.map((region, k) =>
    Uint8Array.from(keypointShares(featuresOf(k), regionOf(region)), (share) =>
      share >= ON_SUBJECT ? 1 : 0,
    ),
  );
}

/** The matches of keypoints that are marked in both pictures. */
export function matchesOn(inliers: ArrayLike<number>, markedA: Uint8Array, markedB: Uint8Array): Int32Array {
  const kept: number[] = [];
  for (let k = 0; k < inliers.length; k += 2) {
    if (markedA[inliers[k]] === 1 && markedB[inliers[k + 1]] === 1) kept.push(inliers[k], inliers[k + 1]);
  }
  return Int32Array.from(kept);
}
