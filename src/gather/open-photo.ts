import type { Exif } from "../types/exif.js";
import type { RawPreview } from "../types/photo.js";
import type { RgbImage } from "../types/pixels.js";
import { decodePhoto, isTurnedByDecoding } from "./decode.js";
import { CUT_SHORT, SAVE_COPY, UnreadablePhoto } from "./errors.js";
import { readExif } from "./exif.js";
import { jpegStep } from "./jpeg-step.js";
import { kindFromBytes, kindOf } from "./kind.js";
import { openRaw } from "./raw/raw.js";

/** A photo as it lies in its file: pixels, and what the camera wrote beside them. */
export interface OpenedPhoto {
  /** As stored; see `orientation`. */
  readonly rgb: RgbImage;
  /** How to turn it upright, 1 to 8 as in EXIF; 1 where decoding has turned it. */
  readonly orientation: number;
  readonly exif: Exif;
  /** See {@link jpegStep}; absent where the file is no JPEG. */
  readonly jpegStep?: number;
  readonly rawPreview?: RawPreview;
}

/**
 * Reads EXIF and decodes the pixels; of a raw photo, those of the preview inside.
 * @returns undefined for a raw photo without a preview
 * @param mostBytes what decoding may take of memory now
 * @throws PostponedPhoto where it needs more
 * @throws UnreadablePhoto where there is no picture to be had, with the reason
 */
export async function openPhoto(
  file: string,
  bytes: Uint8Array,
  mostBytes?: number,
): Promise<OpenedPhoto | undefined> {
  const found = await pictureIn(file, bytes);
  if (found === undefined) return undefined;
  const { picture, exif, rawPreview } = found;
  const step = jpegStep(picture);
  return {
    rgb: await decodePhoto(picture, mostBytes),
    orientation: isTurnedByDecoding(picture) ? 1 : (exif.orientation ?? 1),
    exif,
    ...(step !== undefined && { jpegStep: step }),
    ...(rawPreview && { rawPreview }),
  };
}

export interface FoundPicture {
  /** The file to decode: of a raw photo, the JPEG inside. */
  readonly picture: Uint8Array;
  readonly exif: Exif;
  readonly rawPreview?: RawPreview;
}

/**
 * Finds what there is to decode, and reads EXIF.
 * @returns undefined for a raw photo without a preview
 * @throws UnreadablePhoto for a raw photo that ends before its preview does
 */
export async function pictureIn(file: string, bytes: Uint8Array): Promise<FoundPicture | undefined> {
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
