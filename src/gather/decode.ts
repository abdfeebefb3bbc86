import { required } from "../required.js";
import type { Unreadable } from "../types/folder.js";
import type { RgbImage } from "../types/pixels.js";
import {
  COPY_AGAIN,
  CUT_SHORT,
  type KnownMessages,
  OUT_OF_MEMORY,
  PostponedPhoto,
  SAVE_COPY,
  STORED_OTHERWISE,
  TAKE_OUT,
  UnreadablePhoto,
  undecodable,
} from "./errors.js";
import { kindFromBytes } from "./kind.js";
import { PHOTO_LIMIT_S } from "./time-limit.js";

/**
 * Largest picture that is decoded, megapixels: the largest phone sensor on sale has 200 (common practice, no source).
 * The size a file declares is checked before decoding. A thread takes 3 MiB a megapixel beside what it always does.
 */
export const MAX_MEGAPIXELS = 200;

/**
 * What decoding may take of memory at a time, bytes, over all threads: with what threads and kernels always take, the
 * process stays under 1 GiB.
 */
export const DECODING_BYTES = 600e6;

/**
 * Bytes that decoding takes for each pixel, by how the picture is packed. A plain JPEG, PNG or TIFF comes row by row: only
 * the colours are held. A progressive JPEG holds all its coefficients beside them (1.2 GB for 196 megapixels), AV1 its
 * planes and several copies (3.5 GB for 200), WebP and interlaced PNG the whole picture in colours of their own.
 */
const PLAIN_BYTES_PER_PIXEL = 3;
const PROGRESSIVE_JPEG_BYTES_PER_PIXEL = 6.5;
const WHOLE_BYTES_PER_PIXEL = 12;
const AV1_BYTES_PER_PIXEL = 18;
/** Its decoder holds the file, its planes and its colours at once. The largest that phones write have 50 megapixels (from memory). */
const HEVC_BYTES_PER_PIXEL = 9.3;
export const MAX_HEVC_MEGAPIXELS = Math.floor(DECODING_BYTES / 1e6 / HEVC_BYTES_PER_PIXEL);

function bytesPerPixelOf({ format, compression, isProgressive = false }: Head): number {
  if (compression === "av1") return AV1_BYTES_PER_PIXEL;
  if (format === "webp") return WHOLE_BYTES_PER_PIXEL;
  if (!isProgressive) return PLAIN_BYTES_PER_PIXEL;
  return format === "jpeg" ? PROGRESSIVE_JPEG_BYTES_PER_PIXEL : WHOLE_BYTES_PER_PIXEL;
}

type SharpModule = typeof import("sharp")["default"];
let loaded: SharpModule | undefined;

/** Loads the decoder on first use, without its cache (no file is read twice) and with one thread of its own. */
export function loadSharp(): SharpModule {
  if (loaded === undefined) {
    loaded = required("sharp") as SharpModule;
    loaded.cache(false);
    // The pool gives every core a thread of ours; more threads inside each would only compete.
    loaded.concurrency(1);
  }
  return loaded;
}

/**
 * Decodes a photo to 8-bit RGB as it is stored: the EXIF orientation is not applied (turn coordinates instead), save
 * for HEIC and AVIF, where decoding turns the picture: see {@link isTurnedByDecoding}.
 * Grey becomes three equal channels, 16 bits are reduced to 8, CMYK is converted, of several pictures in one
 * file the main one is taken. An alpha channel is dropped: the audit judges what the camera recorded, and any
 * background laid under it would be an invention. An embedded colour profile is not applied: sharpness, clipping
 * and drift within one set compare code values of one camera, and converting a wide-gamut 12-megapixel photo
 * costs three times its decoding.
 *
 * A 12-megapixel JPEG (4000x3000, quality 90) takes 48 to 55 ms of one core this way, of which 17 to 24 ms are the
 * system's, for 36 MB of memory; reading from a path instead of bytes, random instead of sequential access, or
 * asking for the size first made no difference beyond the spread.
 * @param mostBytes what decoding may take of memory now, bytes; no limit beside {@link DECODING_BYTES} unless said
 * @throws UnreadablePhoto with the reason in plain words: not a photo, too large, cut short, damaged
 * @throws PostponedPhoto where it needs more than `mostBytes`
 */
export async function decodePhoto(
  bytes: Uint8Array,
  mostBytes = Number.POSITIVE_INFINITY,
): Promise<RgbImage> {
  if (bytes.length === 0) throw new UnreadablePhoto({ reason: "the file is empty", wayOut: COPY_AGAIN });
  if (kindFromBytes(bytes) === undefined) throw new UnreadablePhoto(notAPhoto(bytes));
  const sharp = loadSharp();
  const head = await readHead(sharp, bytes);
  const { width, height, compression } = head;
  // sharp is built without the decoder of HEVC, which is under patents in some countries, and with that of AV1.
  const isHevc = compression === "hevc";
  const bytesPerPixel = isHevc ? HEVC_BYTES_PER_PIXEL : bytesPerPixelOf(head);
  checkSize(width, height, Math.min(MAX_MEGAPIXELS, DECODING_BYTES / 1e6 / bytesPerPixel));
  const needs = width * height * bytesPerPixel;
  if (needs > mostBytes) throw new PostponedPhoto(needs);
  if (!isHevc) return decodeStrictly(sharp, bytes);
  const { decodeHevc } = await import("./decode-hevc.js");
  return decodeHevc(bytes);
}

/** Whether decoding turns a photo upright, so that its EXIF orientation must not be applied once more. */
export function isTurnedByDecoding(bytes: Uint8Array): boolean {
  return kindFromBytes(bytes) === "heic";
}

function notAPhoto(bytes: Uint8Array): Unreadable {
  const text = bytes
    .subarray(0, 512)
    .every((byte) => byte >= 0x20 || byte === 9 || byte === 10 || byte === 13);
  return text
    ? { reason: "it is a text file, not a photo", wayOut: TAKE_OUT }
    : { reason: "its content is no known kind of photo", wayOut: COPY_AGAIN };
}

interface Head {
  readonly width: number;
  readonly height: number;
  /** How a HEIF file is packed: "hevc", "av1". */
  readonly compression?: string | undefined;
  readonly format?: string | undefined;
  /** Also of an interlaced PNG. */
  readonly isProgressive?: boolean | undefined;
}

async function readHead(sharp: SharpModule, bytes: Uint8Array): Promise<Head> {
  try {
    // No limit here: a size over the limit is to be reported as such.
    return await sharp(bytes, { limitInputPixels: false, failOn: "error" }).metadata();
  } catch (error) {
    throw undecodable(error, KNOWN);
  }
}

function checkSize(width: number, height: number, megapixels: number): void {
  if (width * height > megapixels * 1e6) {
    throw new UnreadablePhoto({
      reason: `it says it is ${width} x ${height} px, more than the ${Math.floor(megapixels)} megapixels that are read of this kind`,
      wayOut: "save a smaller copy",
    });
  }
}

/**
 * Warnings that mean pixels are wrong, as libjpeg words them. Every other warning is about the container (junk
 * between segments, an odd version number) and real cameras write such files.
 */
const DAMAGED_PIXELS =
  /premature end|bad Huffman|instead of RST|Inconsistent progression|Invalid (?:arithmetic|SOS)/;

async function decodeStrictly(sharp: SharpModule, bytes: Uint8Array): Promise<RgbImage> {
  try {
    return await decodeRaw(sharp, bytes, "warning");
  } catch (error) {
    if (DAMAGED_PIXELS.test(String(error))) throw undecodable(error, KNOWN);
  }
  try {
    return await decodeRaw(sharp, bytes, "error");
  } catch (error) {
    throw undecodable(error, KNOWN);
  }
}

async function decodeRaw(
  sharp: SharpModule,
  bytes: Uint8Array,
  failOn: "warning" | "error",
): Promise<RgbImage> {
  const { data, info } = await sharp(bytes, {
    failOn,
    ignoreIcc: true,
    limitInputPixels: MAX_MEGAPIXELS * 1e6,
  })
    // The library works outside of JavaScript, where ending a thread does not reach: it has to stop by itself.
    .timeout({ seconds: PHOTO_LIMIT_S })
    .removeAlpha()
    .toColourspace("srgb")
    .raw({ depth: "uchar" })
    .toBuffer({ resolveWithObject: true });
  if (info.channels !== 3) throw new Error(`expected 3 channels, found ${info.channels}`);
  return { width: info.width, height: info.height, data };
}

const KNOWN: KnownMessages = [
  [
    /premature end of data segment|bad Huffman|instead of RST|Corrupt JPEG data|Bad code word/,
    { reason: "its picture data is damaged", wayOut: COPY_AGAIN },
  ],
  [
    /premature end|libpng read error|unexpected end|bad seek|Not enough data|Read error|truncated/i,
    CUT_SHORT,
  ],
  [
    /data precision/,
    { reason: "it has more than 8 bits a sample, which is not read here", wayOut: "save an 8-bit JPEG copy" },
  ],
  [
    /not configured|not supported|multiband|Unsupported marker|labq|samples_per_pixel|samples out of range/i,
    STORED_OTHERWISE,
  ],
  [
    /unsupported image format|corrupt header|unable to parse/i,
    { reason: "its start is damaged", wayOut: COPY_AGAIN },
  ],
  [/timeout/i, { reason: `it took longer than ${PHOTO_LIMIT_S} s to decode`, wayOut: SAVE_COPY }],
  [
    /pixel limit/i,
    { reason: `it is larger than the ${MAX_MEGAPIXELS} megapixels read here`, wayOut: "save a smaller copy" },
  ],
  [/memory|alloc/i, OUT_OF_MEMORY],
];
