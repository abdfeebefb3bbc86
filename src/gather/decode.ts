import type { RgbImage } from "../types.js";
import { UnreadablePhoto } from "./errors.js";
import { kindFromBytes } from "./kind.js";

/**
 * Largest picture that is decoded, megapixels: the largest phone sensor on sale has 200, and its raw RGB is the
 * 600 MB one thread may hold (common practice, no source). The size a file declares is checked before decoding.
 */
export const MAX_MEGAPIXELS = 200;

type SharpModule = typeof import("sharp")["default"];
let loaded: Promise<SharpModule> | undefined;

/** Loads the decoder on first use, without its cache (no file is read twice) and with one thread of its own. */
async function loadSharp(): Promise<SharpModule> {
  loaded ??= import("sharp").then(({ default: sharp }) => {
    sharp.cache(false);
    // The pool gives every core a thread of ours; more threads inside each would only compete.
    sharp.concurrency(1);
    return sharp;
  });
  return loaded;
}

/**
 * Decodes a photo to 8-bit RGB as it is stored: the EXIF orientation is not applied (turn coordinates instead).
 * Grey becomes three equal channels, 16 bits are reduced to 8, CMYK is converted, of several pictures in one
 * file the main one is taken. An alpha channel is dropped: the audit judges what the camera recorded, and any
 * background laid under it would be an invention. An embedded colour profile is not applied: sharpness, clipping
 * and drift within one set compare code values of one camera, and converting a wide-gamut 12-megapixel photo
 * costs three times its decoding.
 *
 * A 12-megapixel JPEG (4000x3000, quality 90) takes 48 to 55 ms of one core this way, of which 17 to 24 ms are the
 * system's, for 36 MB of memory; reading from a path instead of bytes, random instead of sequential access, or
 * asking for the size first made no difference beyond the spread.
 * @throws UnreadablePhoto with the reason in plain words: not a photo, too large, cut short, damaged
 */
export async function decodePhoto(bytes: Uint8Array): Promise<RgbImage> {
  if (bytes.length === 0) throw new UnreadablePhoto("the file is empty: copy it again");
  if (kindFromBytes(bytes) === undefined) throw new UnreadablePhoto(notAPhoto(bytes));
  const sharp = await loadSharp();
  checkSize(await readSize(sharp, bytes));
  return decodeStrictly(sharp, bytes);
}

function notAPhoto(bytes: Uint8Array): string {
  const text = bytes
    .subarray(0, 512)
    .every((byte) => byte >= 0x20 || byte === 9 || byte === 10 || byte === 13);
  return text
    ? "it is a text file, not a photo: take it out of the folder"
    : "its content is no known kind of photo: copy it again";
}

interface Size {
  readonly width: number;
  readonly height: number;
}

async function readSize(sharp: SharpModule, bytes: Uint8Array): Promise<Size> {
  try {
    // No limit here: a size over the limit is to be reported as such.
    const { width, height } = await sharp(bytes, { limitInputPixels: false, failOn: "error" }).metadata();
    return { width, height };
  } catch (error) {
    throw new UnreadablePhoto(plainReason(error));
  }
}

function checkSize({ width, height }: Size): void {
  const size = `${width} x ${height} px`;
  if (width * height > MAX_MEGAPIXELS * 1e6) {
    throw new UnreadablePhoto(`it says it is ${size}, more than the ${MAX_MEGAPIXELS} megapixels read here`);
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
    if (DAMAGED_PIXELS.test(String(error))) throw new UnreadablePhoto(plainReason(error));
  }
  try {
    return await decodeRaw(sharp, bytes, "error");
  } catch (error) {
    throw new UnreadablePhoto(plainReason(error));
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
    .removeAlpha()
    .toColourspace("srgb")
    .raw({ depth: "uchar" })
    .toBuffer({ resolveWithObject: true });
  if (info.channels !== 3) throw new Error(`expected 3 channels, found ${info.channels}`);
  return { width: info.width, height: info.height, data };
}

/** The decoder's messages put into what happened and what to do; the first that fits. */
const REASONS: readonly (readonly [RegExp, string])[] = [
  [
    /premature end of data segment|bad Huffman|instead of RST|Corrupt JPEG data|Bad code word/,
    "its picture data is damaged: copy it again",
  ],
  [
    /premature end|libpng read error|unexpected end|bad seek|Not enough data|Read error|truncated/i,
    "the file ends early or is damaged: copy it again",
  ],
  [/data precision/, "it has more than 8 bits a sample, which is not read here: save an 8-bit JPEG copy"],
  [
    /not configured|not supported|Unsupported marker|labq|samples_per_pixel|samples out of range/i,
    "it is stored in a way that is not read here: save a JPEG copy",
  ],
  [/unsupported image format|corrupt header|unable to parse/i, "its start is damaged: copy it again"],
  [/pixel limit/i, `it is larger than the ${MAX_MEGAPIXELS} megapixels read here`],
  [/memory|alloc/i, "there is not enough memory to decode it: close other programs, or use fewer jobs"],
];

function plainReason(error: unknown): string {
  const message = error instanceof Error ? error.message : String(error);
  return REASONS.find(([pattern]) => pattern.test(message))?.[1] ?? "it cannot be decoded: copy it again";
}
