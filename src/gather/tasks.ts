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
  /** Same features and seed, same answer. */
  readonly seed: number;
}

/** What a thread is asked to do, and what it answers. */
export type Task = PhotoTask | PairTask;
export type Result = PhotoResult | PairMeasures;
export type ResultOf<T extends Task> = T extends PhotoTask ? PhotoResult : PairMeasures;

export function handleTask(task: Task): Promise<PhotoResult> | PairMeasures {
  return task.kind === "photo" ? photoTask(task) : measurePair(task.a, task.b, task.seed);
}
