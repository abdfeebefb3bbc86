import { viewOf } from "./boxes.js";

export interface JpegSegment {
  /** Second byte of the marker: 0xe1 for APP1. */
  readonly marker: number;
  /** What follows the marker and its length: a view, cut off where the file ends. */
  readonly body: Uint8Array;
}

/**
 * The segments before the picture data. Fill bytes, and the junk some writers leave between segments, are passed over.
 *
 * @param bytes of a JPEG file
 * @see ITU-T T.81, annex B
 */
export function* jpegSegments(bytes: Uint8Array): Generator<JpegSegment> {
  const view = viewOf(bytes);
  let at = 2;
  while (at + 4 <= bytes.length) {
    if (bytes[at] !== 0xff || bytes[at + 1] === 0xff || bytes[at + 1] === 0) {
      at++;
      continue;
    }
    const marker = bytes[at + 1];
    if (marker === 0xda || marker === 0xd9) return;
    if (marker === 0x01 || (marker >= 0xd0 && marker <= 0xd8)) {
      at += 2;
      continue;
    }
    const size = Math.max(2, view.getUint16(at + 2));
    yield { marker, body: bytes.subarray(at + 4, Math.min(bytes.length, at + 2 + size)) };
    at += 2 + size;
  }
}
