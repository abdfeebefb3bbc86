import { PostponedPhoto, printable, TAKE_OUT, UnreadablePhoto } from "../gather/errors.js";
import type { FilePath } from "../gather/folder.js";
import { kindOf } from "../gather/kind.js";
import { openPhoto } from "../gather/open-photo.js";
import { readPhotoFile } from "../gather/read-file.js";
import { measurePhoto, SHORTEST_SIDE } from "../measure/photo/photo.js";
import type { Store } from "../runtime/cache/store.js";
import type { UnreadableFile, UnsupportedFile } from "../types/folder.js";
import type { MeasuredPhoto } from "../types/photo.js";
import { type PhotoDataRef, storedFacts, storePhoto } from "./photo-data.js";

/** One photo to read, decode and measure. */
export interface PhotoTask {
  /** Relative to the folder, for the facts. */
  readonly file: string;
  /** To open it with. */
  readonly path: FilePath;
  /** Trusts no data of an earlier run that was not read and checked. */
  readonly checkStored?: boolean;
  /** What decoding may take of memory beside other threads, bytes; all there is unless said. */
  readonly mostBytes?: number;
}

/** A photo's facts, and where its keypoints and cells are; or why there are none. */
export type PhotoResult =
  | { readonly facts: MeasuredPhoto; readonly data: PhotoDataRef }
  | {
      readonly unreadable: UnreadableFile;
      /** Where the error behind it arose, if nobody foresaw that one. */
      readonly fault?: string;
    }
  | { readonly unsupported: UnsupportedFile }
  /** To be read again with this much memory for decoding, bytes. */
  | { readonly postponed: number };

/**
 * Reads the file, its EXIF and its pixels, and measures them; or takes what was measured of the same bytes before. A
 * file that cannot be read is a result, not an error.
 * @throws Error only where measuring itself fails, which is a mistake in this program
 */
export async function readPhoto(
  { file, path, checkStored, mostBytes }: PhotoTask,
  store: Store,
): Promise<PhotoResult> {
  try {
    const { bytes, contentHash } = await readPhotoFile(path);
    // The name tells some kinds of raw photo from others.
    const key = [contentHash, kindOf(file, bytes)];
    const stored = storedFacts(store, key, checkStored);
    if (stored !== undefined) return { facts: { file, ...stored }, data: { key } };
    const opened = await openPhoto(file, bytes, mostBytes);
    if (opened === undefined) return { unsupported: { file, kind: "raw" } };
    const { rgb, orientation, exif, jpegStep, rawPreview } = opened;
    if (Math.min(rgb.width, rgb.height) < SHORTEST_SIDE) {
      throw new UnreadablePhoto({
        reason: `it is ${rgb.width} x ${rgb.height} px, too small to be a photo`,
        wayOut: TAKE_OUT,
      });
    }
    const { features, cells, ...measured } = measurePhoto(rgb, orientation);
    const facts = {
      contentHash,
      exif,
      ...(jpegStep !== undefined && { jpegStep: { value: jpegStep, unit: "grey levels" as const } }),
      ...(rawPreview && { rawPreview }),
      ...measured,
    };
    const data = { features, cells };
    const isStored = storePhoto(store, key, facts, data);
    return { facts: { file, ...facts }, data: isStored ? { key } : { data } };
  } catch (error) {
    if (error instanceof PostponedPhoto) return { postponed: error.bytes };
    if (!(error instanceof UnreadablePhoto)) throw error;
    const { reason, wayOut, cause } = error;
    return {
      unreadable: { file, reason: printable(reason), ...(wayOut !== undefined && { wayOut }) },
      ...(cause !== undefined && { fault: cause instanceof Error ? String(cause.stack) : String(cause) }),
    };
  }
}
