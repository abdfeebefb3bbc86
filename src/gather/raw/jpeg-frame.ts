import { viewOf } from "../boxes.js";

/** What a JPEG says of itself before its picture data. */
export interface JpegFrame {
  readonly width: number;
  readonly height: number;
}

/** Segments that stand before the frame header in any camera's file are a few dozen. */
const MOST_SEGMENTS = 1000;

/**
 * Reads the frame header of a JPEG picture (ITU-T T.81, B.2.2).
 * @param bytes from the JPEG's start on; it may go on behind its end
 * @returns undefined where this is no JPEG, or one of a kind that no preview is: lossless (raw data are stored so),
 *   12 bits, or without a size
 */
export function jpegFrame(bytes: Uint8Array): JpegFrame | undefined {
  if (bytes[0] !== 0xff || bytes[1] !== 0xd8) return undefined;
  const view = viewOf(bytes);
  let at = 2;
  for (let i = 0; i < MOST_SEGMENTS && at + 9 <= bytes.length; i++) {
    if (bytes[at] !== 0xff) return undefined;
    const marker = bytes[at + 1];
    if (marker === 0xff) {
      at++;
      continue;
    }
    // Baseline, extended and progressive, Huffman or arithmetic coded.
    if ([0xc0, 0xc1, 0xc2, 0xc9, 0xca].includes(marker)) {
      const [height, width] = [view.getUint16(at + 5), view.getUint16(at + 7)];
      return bytes[at + 4] === 8 && width > 0 && height > 0 ? { width, height } : undefined;
    }
    const isTable =
      marker === 0xc4 || marker === 0xcc || marker === 0xdb || marker === 0xdd || marker === 0xfe;
    if (!isTable && (marker < 0xe0 || marker > 0xef)) return undefined;
    at += 2 + Math.max(2, view.getUint16(at + 2));
  }
  return undefined;
}
