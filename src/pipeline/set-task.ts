import type { Candidate } from "../measure/parts.js";
import type { PairResult } from "./compare-pair.js";
import type { ReadPhoto } from "./photo-data.js";

/** What the whole set needs of a photo: there may be thousands to post. */
export type SetPhoto = Omit<ReadPhoto, "measures">;

/** The same of two photos, by their places. */
export type SetPair = Candidate &
  Pick<PairResult, "inliers" | "pose"> & {
    readonly verifiedRatio: number;
    readonly driftStops: number | undefined;
  };

/** Photos in capture order, and the pairs that were compared. */
export interface SetTask {
  readonly photos: readonly SetPhoto[];
  readonly pairs: readonly SetPair[];
  /** Whether the subject was turned before a camera at rest; undefined where that was not asked. */
  readonly turnedSubject: boolean | undefined;
}

/** What the steps for the whole set take of photos and pairs. */
export function forWholeSet(
  photos: readonly ReadPhoto[],
  pairs: readonly (Candidate & PairResult)[],
  turnedSubject: boolean | undefined,
): SetTask {
  return {
    photos: photos.map(({ measures: _, ...photo }) => photo),
    pairs: pairs.map(({ a, b, inliers, pose, facts }) => {
      const { verifiedRatio, exposureDriftStops: driftStops } = facts;
      return { a, b, inliers, ...(pose && { pose }), verifiedRatio, driftStops };
    }),
    turnedSubject,
  };
}
