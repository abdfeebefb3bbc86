import { jpegSegments } from "./jpeg-segments.js";
import { kindFromBytes } from "./kind.js";

/** Coefficients in zigzag order that vary along x and y by four half waves a block of 8 px at most, the mean left out. */
const COARSE = { from: 1, to: 15 } as const;
const TABLES = 0xdb;

/**
 * How coarsely a JPEG file rounds the lightness of what a block of 8 px shows: the mean step of its coarse coefficients. The
 * transform keeps lengths, so texture of less than half a step, in grey levels, is gone.
 *
 * The tables of ITU-T T.81 annex K, which most programs scale by their quality, give 2.8 at quality 90, 14 at 50, 71 at 10
 * and 142 at 5.
 *
 * @returns grey levels, 1 to 65535; undefined for other kinds of file and where a table is missing or damaged
 */
export function jpegStep(bytes: Uint8Array): number | undefined {
  if (kindFromBytes(bytes) !== "jpeg") return undefined;
  const tables = new Map<number, readonly number[]>();
  let lightness: number | undefined;
  for (const { marker, body } of jpegSegments(bytes)) {
    if (marker === TABLES) for (const [id, steps] of tablesIn(body)) tables.set(id, steps);
    // Precision, height, width, number of components; then its name, its sampling and its table, for each.
    else if (isFrame(marker)) lightness ??= body[8];
  }
  const steps = lightness === undefined ? undefined : tables.get(lightness);
  if (steps === undefined) return undefined;
  const coarse = steps.slice(COARSE.from, COARSE.to);
  return coarse.reduce((sum, step) => sum + step, 0) / coarse.length;
}

/** Start of a frame: 0xc0 to 0xcf without the three that are tables and extensions. */
function isFrame(marker: number): boolean {
  return marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker);
}

/** Tables of 64 steps in zigzag order, of 8 or 16 bits, by number. A table that is cut short is left out. */
function tablesIn(body: Uint8Array): Map<number, readonly number[]> {
  const found = new Map<number, readonly number[]>();
  for (let at = 0; at < body.length; ) {
    const bytesEach = body[at] >> 4 === 0 ? 1 : 2;
    const id = body[at] & 15;
    const end = at + 1 + 64 * bytesEach;
    if (end > body.length) break;
    const table = body.subarray(at + 1, end);
    found.set(
      id,
      Array.from({ length: 64 }, (_, i) =>
        bytesEach === 1 ? table[i] : 256 * table[2 * i] + table[2 * i + 1],
      ),
    );
    at = end;
  }
  return found;
}
