import { matchDescriptors } from "../measure/pair/match.js";
import { measurePair, type PairMeasures } from "../measure/pair/pair.js";
import type { RelativePose } from "../measure/poses/relative-pose.js";
import { pairPose } from "../measure/poses/solved-set.js";
import { dynamicMatches, type StaticMatches, staticMatches } from "../measure/turntable/static-matches.js";
import type { Store } from "../runtime/cache/store.js";
import { type PhotoDataRef, photoData } from "./photo-data.js";

/** Compares two measured photos. */
export interface PairTask {
  readonly a: PhotoDataRef;
  readonly b: PhotoDataRef;
  /** Focal lengths as EXIF has them, in 35 mm equivalents. */
  readonly focalLength35Mm: { readonly a: number | undefined; readonly b: number | undefined };
  /** Matches that stand still in the picture do not count: the subject was turned before a camera at rest. */
  readonly dynamicOnly: boolean;
  /** Same features and seed, same answer. */
  readonly seed: number;
}

/** What two photos share, and how the camera moved between them where enough tells it. */
export interface PairResult extends Pick<PairMeasures, "facts"> {
  /** As in {@link PairMeasures}; held over shared memory, since two threads look at thousands of pairs. */
  readonly inliers: Uint16Array;
  readonly pose?: RelativePose;
}

/** Two matched photos: {@link measurePair}, and the relative pose where they match. */
export function comparePair(task: PairTask, store: Store): PairResult {
  const { focalLength35Mm, dynamicOnly, seed } = task;
  const a = photoData(store, task.a).features;
  const b = photoData(store, task.b).features;
  const { facts, inliers } = measurePair(a, b, seed, dynamicOnly ? dynamicMatches : undefined);
  const pose = pairPose(
    { features: a, focalLength35Mm: focalLength35Mm.a },
    { features: b, focalLength35Mm: focalLength35Mm.b },
    inliers,
    facts.verifiedRatio,
  );
  return { facts, inliers: Uint16Array.from(inliers), ...(pose && { pose }) };
}

/** Asks two photos from different sides what stands still in both pictures. */
export interface StaticTask {
  readonly a: PhotoDataRef;
  readonly b: PhotoDataRef;
}

/** How much of what two photos show stands still in both pictures. */
export function findStatic(task: StaticTask, store: Store): StaticMatches {
  const a = photoData(store, task.a).features;
  const b = photoData(store, task.b).features;
  return staticMatches(a, b, matchDescriptors(a, b, { anyTurn: true }));
}
