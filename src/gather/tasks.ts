import { matchDescriptors } from "../measure/pair/match.js";
import { measurePair, type PairMeasures } from "../measure/pair/pair.js";
import { measurePhoto, SHORTEST_SIDE } from "../measure/photo/photo.js";
import type { RelativePose } from "../measure/poses/relative-pose.js";
import { pairPose } from "../measure/poses/solved-set.js";
import { dynamicMatches, type StaticMatches, staticMatches } from "../measure/turntable/static-matches.js";
import type { Exif } from "../types/exif.js";
import type { UnreadableFile, UnsupportedFile } from "../types/folder.js";
import type { MeasuredPhoto, RawPreview } from "../types/photo.js";
import { decodePhoto, isTurnedByDecoding } from "./decode.js";
import { CUT_SHORT, printable, SAVE_COPY, TAKE_OUT, UnreadablePhoto } from "./errors.js";
import { readExif } from "./exif.js";
import type { FilePath } from "./folder.js";
import { kindFromBytes, kindOf } from "./kind.js";
import { openRaw } from "./raw/raw.js";
import { readPhotoFile } from "./read-file.js";
import { keepPhoto, keptFacts, type PhotoDataRef, photoData } from "./store/photo-data.js";
import type { Store } from "./store/store.js";

/** Reads, decodes and measures one photo. */
export interface PhotoTask {
  readonly kind: "photo";
  /** Relative to the folder, for the facts. */
  readonly file: string;
  /** To open it with. */
  readonly path: FilePath;
}

/** A photo's facts, and where its keypoints and cells are; or why there are none. */
export type PhotoResult =
  | { readonly facts: MeasuredPhoto; readonly data: PhotoDataRef }
  | {
      readonly unreadable: UnreadableFile;
      /** Where the error behind it arose, if nobody foresaw that one. */
      readonly fault?: string;
    }
  | { readonly unsupported: UnsupportedFile };

/**
 * Reads the file, its EXIF and its pixels, and measures them; or takes what was measured of the same bytes before. A
 * file that cannot be read is a result, not an error.
 * @throws Error only where measuring itself fails, which is a mistake in this program
 */
export async function photoTask({ file, path }: PhotoTask, store: Store): Promise<PhotoResult> {
  try {
    const { bytes, contentHash } = await readPhotoFile(path);
    // The name tells some kinds of raw photo from others.
    const key = [contentHash, kindOf(file, bytes)];
    const kept = keptFacts(store, key);
    if (kept !== undefined) return { facts: { file, ...kept }, data: { key } };
    const opened = await openPhoto(file, bytes);
    if (opened === undefined) return { unsupported: { file, kind: "raw" } };
    const { picture, exif, rawPreview } = opened;
    const rgb = await decodePhoto(picture);
    if (Math.min(rgb.width, rgb.height) < SHORTEST_SIDE) {
      throw new UnreadablePhoto({
        reason: `it is ${rgb.width} x ${rgb.height} px, too small to be a photo`,
        wayOut: TAKE_OUT,
      });
    }
    const orientation = isTurnedByDecoding(picture) ? 1 : (exif.orientation ?? 1);
    const { features, cells, ...measured } = measurePhoto(rgb, orientation);
    const facts = { contentHash, exif, ...(rawPreview && { rawPreview }), ...measured };
    const data = { features, cells };
    const isKept = keepPhoto(store, key, facts, data);
    return { facts: { file, ...facts }, data: isKept ? { key } : { data } };
  } catch (error) {
    if (!(error instanceof UnreadablePhoto)) throw error;
    const { reason, wayOut, cause } = error;
    return {
      unreadable: { file, reason: printable(reason), ...(wayOut !== undefined && { wayOut }) },
      ...(cause !== undefined && { fault: cause instanceof Error ? String(cause.stack) : String(cause) }),
    };
  }
}

interface OpenedPhoto {
  /** The file to decode: of a raw photo, the JPEG inside. */
  readonly picture: Uint8Array;
  readonly exif: Exif;
  readonly rawPreview?: RawPreview;
}

/**
 * @returns undefined for a raw photo without a preview
 * @throws UnreadablePhoto for a raw photo that ends before its preview does
 */
async function openPhoto(file: string, bytes: Uint8Array): Promise<OpenedPhoto | undefined> {
  const kind = kindOf(file, bytes);
  if (kind === "foreign")
    throw new UnreadablePhoto({ reason: "it is a photo of a kind that is not read here", wayOut: SAVE_COPY });
  if (kind !== "raw") return { picture: bytes, exif: await readExif(bytes) };
  const { preview, whole, exif } = await openRaw(bytes);
  if (preview !== undefined) return { picture: preview, exif, rawPreview: { whole } };
  // Named as raw and no such thing: decoding says what is wrong with it.
  if (kindFromBytes(bytes) === undefined) return { picture: bytes, exif };
  if (!whole) throw new UnreadablePhoto(CUT_SHORT);
  return undefined;
}

/** Compares two measured photos. */
export interface PairTask {
  readonly kind: "pair";
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

/** Two matched photos: {@link measurePair}, and the pose where they hang together. */
function pairTask(task: PairTask, store: Store): PairResult {
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
  readonly kind: "static";
  readonly a: PhotoDataRef;
  readonly b: PhotoDataRef;
}

/** What a thread is asked to do, and what it answers. */
export type Task = PhotoTask | PairTask | StaticTask;
export type Result = PhotoResult | PairResult | StaticMatches;
export type ResultOf<T extends Task> = T extends PhotoTask
  ? PhotoResult
  : T extends PairTask
    ? PairResult
    : StaticMatches;

export function handleTask(task: Task, store: Store): Promise<PhotoResult> | PairResult | StaticMatches {
  switch (task.kind) {
    case "photo":
      return photoTask(task, store);
    case "pair":
      return pairTask(task, store);
    case "static":
      return staticTask(task, store);
  }
}

function staticTask(task: StaticTask, store: Store): StaticMatches {
  const a = photoData(store, task.a).features;
  const b = photoData(store, task.b).features;
  return staticMatches(a, b, matchDescriptors(a, b, { anyTurn: true }));
}
