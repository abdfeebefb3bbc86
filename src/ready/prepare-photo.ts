import { createHash } from "node:crypto";
import { decodePhoto, isTurnedByDecoding } from "../gather/decode.js";
import { findExifBlock } from "../gather/exif-block.js";
import { kindFromBytes } from "../gather/kind.js";
import type { Gains } from "../measure/set/correction.js";
import { required } from "../required.js";
import { DamagedFile } from "./damaged.js";
import { cleanExif } from "./exif.js";
import { cleanJpeg } from "./jpeg.js";
import { level } from "./level.js";
import { cleanPng } from "./png.js";
import { cleanWebp } from "./webp.js";

/** What is to be done to every photo. */
export interface Preparation {
  /** Leaves location, serial numbers, owner and maker notes in. */
  readonly keepPrivate: boolean;
  /** Writes what an upload may not take (HEIC, TIFF) as JPEG. */
  readonly toJpeg: boolean;
  /** Longest edge, px; undefined leaves the size as it is. */
  readonly longEdgePx?: number | undefined;
}

/** A photo as it goes up. */
export interface PreparedPhoto {
  /** The file's name; only its ending may differ from the source's. */
  readonly file: string;
  readonly bytes: Uint8Array;
  /** SHA-256 of the bytes, hex. */
  readonly hash: string;
  readonly done: readonly Deed[];
}

/** What was done to a photo. */
export type Deed = "private tags removed" | "levelled" | "made smaller" | "written as JPEG";

/** A photo that cannot be prepared as asked. `message` is a clause, `wayOut` an instruction. */
export class NotPrepared extends Error {
  override readonly name = "NotPrepared";
  readonly wayOut: string;

  constructor(message: string, wayOut: string) {
    super(message);
    this.wayOut = wayOut;
  }
}

/** Quality of the JPEG files written: at 95, without thinning colours, the spread of one more generation is under the noise of a phone's photo (common practice, no source). */
const JPEG_QUALITY = 95;

/**
 * Prepares one photo: taken over byte for byte where nothing is to be done, cleaned without touching the picture where
 * that is enough, else decoded and written anew with its EXIF and colour profile.
 *
 * @param file its path within the folder
 * @param gains what its light is multiplied by; undefined leaves it as it is
 * @throws NotPrepared where that cannot be done as asked
 */
export async function preparePhoto(
  file: string,
  bytes: Uint8Array,
  gains: Gains | undefined,
  { keepPrivate, toJpeg, longEdgePx }: Preparation,
): Promise<PreparedPhoto> {
  const kind = kindFromBytes(bytes);
  const copied = kind === "jpeg" || kind === "png" || kind === "webp";
  const asJpeg = !copied && toJpeg;
  if (!copied && !asJpeg && (!keepPrivate || gains || longEdgePx))
    throw new NotPrepared(
      `private tags cannot be taken out of ${kind === "heic" ? "a HEIC" : kind === "tiff" ? "a TIFF" : "such a"} file without writing it anew`,
      "add --jpeg to have it written as JPEG",
    );
  try {
    if (asJpeg || gains || longEdgePx !== undefined) {
      const developed = await develop(file, bytes, gains, longEdgePx, keepPrivate, asJpeg);
      if (developed) return developed;
    }
    if (keepPrivate) return prepared(file, bytes, []);
    const exif = cleanExif(findExifBlock(bytes));
    const clean =
      kind === "jpeg"
        ? cleanJpeg(bytes, exif)
        : kind === "png"
          ? cleanPng(bytes, exif)
          : cleanWebp(bytes, exif);
    return same(clean, bytes) ? prepared(file, bytes, []) : prepared(file, clean, ["private tags removed"]);
  } catch (error) {
    if (error instanceof DamagedFile)
      throw new NotPrepared(error.message, "copy it again from the phone, or move it out of the folder");
    throw error;
  }
}

function same(a: Uint8Array, b: Uint8Array): boolean {
  return a.length === b.length && Buffer.compare(a, b) === 0;
}

function prepared(file: string, bytes: Uint8Array, done: readonly Deed[]): PreparedPhoto {
  return { file, bytes, hash: createHash("sha256").update(bytes).digest("hex"), done };
}

/** Writes a photo anew; undefined where it is small enough and nothing else was asked. */
async function develop(
  file: string,
  bytes: Uint8Array,
  gains: Gains | undefined,
  longEdgePx: number | undefined,
  keepPrivate: boolean,
  asJpeg: boolean,
): Promise<PreparedPhoto | undefined> {
  const image = await decodePhoto(bytes);
  const longEdge = Math.max(image.width, image.height);
  const resized = longEdgePx !== undefined && longEdge > longEdgePx;
  if (!resized && !gains && !asJpeg) return undefined;
  if (gains) level(image, gains);
  const sharp = required("sharp") as typeof import("sharp")["default"];
  const { width, height, data } = image;
  let picture = sharp(data, { raw: { width, height, channels: 3 } });
  if (resized) picture = picture.resize({ width: longEdgePx, height: longEdgePx, fit: "inside" });
  const written = await picture
    .jpeg({ quality: JPEG_QUALITY, chromaSubsampling: "4:4:4", optimiseCoding: true })
    .toBuffer();
  const { icc } = await sharp(bytes).metadata();
  const block = findExifBlock(bytes);
  const turned = isTurnedByDecoding(bytes);
  const exif = keepPrivate && !resized && !turned ? block : cleanExif(block, { resized, turned });
  const name = /\.jpe?g$/i.test(file) ? file : file.replace(/(\.[^./]*)?$/, ".jpg");
  return prepared(name, cleanJpeg(written, exif, isOfRgb(icc) ? icc : undefined), [
    ...(keepPrivate ? [] : (["private tags removed"] as const)),
    ...(gains ? (["levelled"] as const) : []),
    ...(resized ? (["made smaller"] as const) : []),
    ...(name === file ? [] : (["written as JPEG"] as const)),
  ]);
}

/** Whether a profile describes the three channels that are written: one of grey or of inks does not. @see ICC.1:2010, 7.2.6 */
export function isOfRgb(profile: Uint8Array | undefined): boolean {
  return profile !== undefined && Buffer.from(profile.subarray(16, 20)).toString("latin1") === "RGB ";
}
