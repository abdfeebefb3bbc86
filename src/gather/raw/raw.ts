import type { Exif } from "../../types/exif.js";
import { latin1, viewOf } from "../boxes.js";
import { readExif, readExifBlock, readExifBlocks } from "../exif.js";
import { kindFromBytes } from "../kind.js";
import { cr3Contents } from "./cr3.js";
import { type JpegFrame, jpegFrame } from "./jpeg-frame.js";
import { declaredPictures, type Stretch } from "./tiff-directories.js";

/** What can be told of a raw photo without developing it. */
export interface RawContents {
  /** The largest JPEG inside that is all there; absent where there is none. */
  readonly preview?: Uint8Array;
  /** Whether the file reaches to the end of every picture it declares. */
  readonly whole: boolean;
  readonly exif: Exif;
}

/**
 * Opens a raw photo (DNG, CR2, CR3, NEF, ARW, ORF, RW2, RAF and their kin). The raw picture itself is not developed:
 * what is judged is the largest JPEG the camera stored inside for a quick look, with the EXIF of the raw file.
 * @param bytes the whole file; a damaged one gives what can be found in it
 */
export async function openRaw(bytes: Uint8Array): Promise<RawContents> {
  if (kindFromBytes(bytes) === "raw" && latin1(bytes.subarray(4, 8)) === "ftyp") return openCr3(bytes);
  if (latin1(bytes.subarray(0, 8)) === "FUJIFILM") return openRaf(bytes);
  return openTiffLike(bytes);
}

async function openCr3(bytes: Uint8Array): Promise<RawContents> {
  const { inBoxes, tracks, ...blocks } = cr3Contents(bytes);
  return contents(
    bytes,
    [...inBoxes, ...cut(bytes, tracks)],
    isWhole(bytes, tracks),
    await readExifBlocks(blocks),
  );
}

/** Place of the offset and the length of the JPEG in a RAF file's head, from memory. */
const RAF_JPEG_AT = 84;

async function openRaf(bytes: Uint8Array): Promise<RawContents> {
  const view = viewOf(bytes);
  const stretches: Stretch[] =
    bytes.length < RAF_JPEG_AT + 8
      ? []
      : [{ start: view.getUint32(RAF_JPEG_AT), length: view.getUint32(RAF_JPEG_AT + 4) }];
  const candidates = cut(bytes, stretches);
  // The JPEG holds the file's EXIF.
  const exif = await readExif(candidates[0] ?? new Uint8Array(0));
  return contents(bytes, candidates, stretches.length > 0 && isWhole(bytes, stretches), exif);
}

async function openTiffLike(bytes: Uint8Array): Promise<RawContents> {
  // Some makers' older formats are containers of their own: a JPEG may be found in them all the same.
  if (!/^(II|MM)/.test(latin1(bytes.subarray(0, 2))))
    return contents(bytes, [], true, { hasLocation: false });
  const { single, all } = declaredPictures(bytes);
  return contents(bytes, cut(bytes, single), isWhole(bytes, all), await readExifBlock(withTiffNumber(bytes)));
}

/** Olympus and Panasonic put numbers of their own where TIFF has 42, and are TIFF for the rest. */
function withTiffNumber(bytes: Uint8Array): Uint8Array {
  if (bytes.length < 4 || kindFromBytes(bytes) !== "raw") return bytes;
  const copy = bytes.slice();
  viewOf(copy).setUint16(2, 42, copy[0] === 0x49);
  return copy;
}

function isWhole(bytes: Uint8Array, stretches: readonly Stretch[]): boolean {
  return stretches.every(({ start, length }) => start + length <= bytes.length);
}

/** The stretches that lie inside the file. */
function cut(bytes: Uint8Array, stretches: readonly Stretch[]): Uint8Array[] {
  return stretches
    .filter((stretch) => isWhole(bytes, [stretch]))
    .map(({ start, length }) => bytes.subarray(start, start + length));
}

/** Shorter pictures are for a camera's list of photos; a larger one may be hidden among the maker's own notes. */
const THUMBNAIL_PX = 640;

function contents(
  bytes: Uint8Array,
  declared: readonly Uint8Array[],
  whole: boolean,
  exif: Exif,
): RawContents {
  let best = largest(declared);
  if (best === undefined || Math.max(best.width, best.height) <= THUMBNAIL_PX) {
    best = largest([...(best ? [best.bytes] : []), ...jpegsIn(bytes)]);
  }
  return { ...(best && { preview: best.bytes }), whole, exif };
}

type Candidate = JpegFrame & { readonly bytes: Uint8Array };

/** The JPEG with the most pixels; the first of several. */
function largest(candidates: readonly Uint8Array[]): Candidate | undefined {
  let best: Candidate | undefined;
  for (const bytes of candidates) {
    const frame = jpegFrame(bytes);
    if (frame === undefined) continue;
    if (best === undefined || frame.width * frame.height > best.width * best.height)
      best = { ...frame, bytes };
  }
  return best;
}

/** Starts that look like a JPEG's turn up by chance once in 16 million bytes; a hostile file is full of them. */
const MOST_STARTS = 1000;
const JPEG_START = Buffer.from([0xff, 0xd8, 0xff]);

/** Every stretch that starts as a JPEG does, up to the end of the file: a decoder stops at the picture's own end. */
function jpegsIn(bytes: Uint8Array): Uint8Array[] {
  const file = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const found: Uint8Array[] = [];
  for (let at = file.indexOf(JPEG_START); at >= 0 && found.length < MOST_STARTS; ) {
    found.push(bytes.subarray(at));
    at = file.indexOf(JPEG_START, at + 2);
  }
  return found;
}
