import { inflateSync } from "node:zlib";
import { latin1, viewOf } from "./boxes.js";
import { heifExifBlock } from "./exif-heif.js";
import { jpegSegments } from "./jpeg-segments.js";
import { kindFromBytes } from "./kind.js";

/** More than any camera writes (a JPEG segment holds 64 KiB), little enough for a hostile packed block. */
const MAX_BLOCK_BYTES = 4 << 20;

/**
 * Finds the EXIF block of a JPEG, PNG, WebP, TIFF, HEIC or AVIF file: the part that starts with a TIFF header.
 * @param bytes the whole file
 * @returns a view on the bytes (a copy only where a PNG holds the block as packed text), or undefined where
 *   there is none. Never throws; a damaged container gives undefined.
 */
export function findExifBlock(bytes: Uint8Array): Uint8Array | undefined {
  const block = rawBlock(bytes);
  if (block === undefined) return undefined;
  // Some writers put JPEG's marker before the TIFF header in PNG and WebP as well.
  const tiff = startsWith(block, EXIF_MARKER, 0) ? block.subarray(EXIF_MARKER.length) : block;
  return kindFromBytes(tiff) === "tiff" ? tiff : undefined;
}

function rawBlock(bytes: Uint8Array): Uint8Array | undefined {
  switch (kindFromBytes(bytes)) {
    case "jpeg":
      return jpegBlock(bytes);
    case "png":
      return pngBlock(bytes);
    case "webp":
      return webpBlock(bytes);
    case "heic":
      return heifExifBlock(bytes);
    case "tiff":
      return bytes;
    default:
      return undefined;
  }
}

const EXIF_MARKER = Buffer.from("Exif\0\0", "latin1");

function startsWith(bytes: Uint8Array, wanted: Uint8Array, at: number): boolean {
  if (at + wanted.length > bytes.length) return false;
  return wanted.every((byte, i) => bytes[at + i] === byte);
}

/** The first Exif segment before the picture data (Exif 2.32, 4.7.2). */
function jpegBlock(bytes: Uint8Array): Uint8Array | undefined {
  for (const { marker, body } of jpegSegments(bytes))
    if (marker === 0xe1 && startsWith(body, EXIF_MARKER, 0)) return body;
  return undefined;
}

/** Chunk eXIf, or the hex text older programs packed into zTXt or tEXt "Raw profile type exif" (or "APP1"). */
function pngBlock(bytes: Uint8Array): Uint8Array | undefined {
  const view = viewOf(bytes);
  let profile: Uint8Array | undefined;
  for (let at = 8; at + 12 <= bytes.length; ) {
    const size = view.getUint32(at);
    const type = latin1(bytes.subarray(at + 4, at + 8));
    const data = bytes.subarray(at + 8, Math.min(bytes.length, at + 8 + size));
    if (type === "eXIf") return data;
    if (type === "zTXt" || type === "tEXt") profile ??= rawProfile(data, type === "zTXt");
    if (type === "IEND") break;
    at += 12 + size;
  }
  return profile;
}

const PROFILE_KEYWORD = /^Raw profile type (exif|APP1)$/;

function rawProfile(data: Uint8Array, packed: boolean): Uint8Array | undefined {
  const end = data.subarray(0, 80).indexOf(0);
  if (end < 0 || !PROFILE_KEYWORD.test(latin1(data.subarray(0, end)))) return undefined;
  try {
    const text = packed
      ? inflateSync(data.subarray(end + 2), { maxOutputLength: 3 * MAX_BLOCK_BYTES })
      : data.subarray(end + 1);
    // A name and a length in decimal, then hex digits broken into lines.
    const parts = /^\s*\w+\s+(\d+)\s+([0-9a-fA-F\s]+)/.exec(Buffer.from(text).toString("latin1"));
    return parts === null ? undefined : new Uint8Array(Buffer.from(parts[2].replace(/\s+/g, ""), "hex"));
  } catch {
    return undefined;
  }
}

/** Chunk "EXIF" of the RIFF container (WebP container specification). */
function webpBlock(bytes: Uint8Array): Uint8Array | undefined {
  const view = viewOf(bytes);
  for (let at = 12; at + 8 <= bytes.length; ) {
    const size = view.getUint32(at + 4, true);
    const type = latin1(bytes.subarray(at, at + 4));
    if (type === "EXIF") return bytes.subarray(at + 8, Math.min(bytes.length, at + 8 + size));
    // Chunks are padded to an even size.
    at += 8 + size + (size & 1);
  }
  return undefined;
}
