import { pairPose } from "../measure/around/around.js";
import type { RelativePose } from "../measure/around/relative-pose.js";
import { movingMatches, type StillMatches, stillMatches } from "../measure/around/turned-subject.js";
import { matchDescriptors } from "../measure/pair/match.js";
import { measurePair, type PairMeasures } from "../measure/pair/pair.js";
import { measurePhoto, SHORTEST_SIDE } from "../measure/photo/photo.js";
import type { Cells, Features, MeasuredPhoto, UnreadableFile } from "../types.js";
import { decodePhoto } from "./decode.js";
import { printable, UnreadablePhoto } from "./errors.js";
import { readExif } from "./exif.js";
import { readPhotoFile } from "./read-file.js";

/** Reads, decodes and measures one photo. */
export interface PhotoTask {
  readonly kind: "photo";
  /** Relative to the folder, for the facts. */
  readonly file: string;
  /** To open it with. */
  readonly path: string;
}

/** A photo's facts, keypoints and cells, or why there are none. */
export type PhotoResult =
  | { readonly facts: MeasuredPhoto; readonly features: Features; readonly cells: Cells }
  | { readonly unreadable: UnreadableFile };

/**
 * Reads the file, its EXIF and its pixels, and measures them. A file that cannot be read is a result, not an error.
 * @throws Error only where measuring itself fails, which is a mistake in this program
 */
export async function photoTask({ file, path }: PhotoTask): Promise<PhotoResult> {
  try {
    const { bytes, contentHash } = await readPhotoFile(path);
    const exif = await readExif(bytes);
    const rgb = await decodePhoto(bytes);
    if (Math.min(rgb.width, rgb.height) < SHORTEST_SIDE) {
      throw new UnreadablePhoto(
        `it is ${rgb.width} x ${rgb.height} px, too small to be a photo: take it out of the folder`,
      );
    }
    const { widthPx, heightPx, measures, tiles, features, cells } = measurePhoto(rgb, exif.orientation ?? 1);
    return { facts: { file, widthPx, heightPx, contentHash, exif, measures, tiles }, features, cells };
  } catch (error) {
    if (error instanceof UnreadablePhoto) return { unreadable: { file, reason: printable(error.reason) } };
    throw error;
  }
}

/** Compares two measured photos. */
export interface PairTask {
  readonly kind: "pair";
  readonly a: Features;
  readonly b: Features;
  /** Focal lengths as EXIF has them, in 35 mm equivalents. */
  readonly focalLength35Mm: { readonly a: number | undefined; readonly b: number | undefined };
  /** Matches that stand still in the picture do not count: the subject was turned before a camera at rest. */
  readonly movingOnly: boolean;
  /** Same features and seed, same answer. */
  readonly seed: number;
}

/** What two photos share, and how the camera moved between them where enough tells it. */
export interface PairResult extends PairMeasures {
  readonly pose?: RelativePose;
}

/** Two matched photos: {@link measurePair}, and the pose where they hang together. */
export function pairTask({ a, b, focalLength35Mm, movingOnly, seed }: PairTask): PairResult {
  const measures = measurePair(a, b, seed, movingOnly ? movingMatches : undefined);
  const pose = pairPose(
    { features: a, focalLength35Mm: focalLength35Mm.a },
    { features: b, focalLength35Mm: focalLength35Mm.b },
    measures.inliers,
    measures.facts.verifiedRatio,
  );
  return pose === undefined ? measures : { ...measures, pose };
}

/** Asks two photos from different sides what stands still in both pictures. */
export interface StillTask {
  readonly kind: "still";
  readonly a: Features;
  readonly b: Features;
}

/** What a thread is asked to do, and what it answers. */
export type Task = PhotoTask | PairTask | StillTask;
export type Result = PhotoResult | PairResult | StillMatches;
export type ResultOf<T extends Task> = T extends PhotoTask
  ? PhotoResult
  : T extends PairTask
    ? PairResult
    : StillMatches;

export function handleTask(task: Task): Promise<PhotoResult> | PairResult | StillMatches {
  switch (task.kind) {
    case "photo":
      return photoTask(task);
    case "pair":
      return pairTask(task);
    case "still":
      return stillMatches(task.a, task.b, matchDescriptors(task.a, task.b));
  }
}
