import type { RgbImage } from "../../types/pixels.js";

/**
 * Where stored pixel (x, y) of a width x height picture goes when EXIF orientation o is applied:
 * (ax x + bx y + cx, ay x + by y + cy) with c in units of (last column, last row).
 * @see Exif 2.32 tag 0112 (from memory): 3 is a half turn, 6 a quarter turn clockwise, 8 counter-clockwise.
 */
interface Turn {
  readonly swaps: boolean;
  readonly flipX: boolean;
  readonly flipY: boolean;
}

/** flipX and flipY act on the upright axes, after the swap of x and y. */
const TURNS: readonly Turn[] = [
  { swaps: false, flipX: false, flipY: false }, // 1
  { swaps: false, flipX: true, flipY: false }, // 2
  { swaps: false, flipX: true, flipY: true }, // 3
  { swaps: false, flipX: false, flipY: true }, // 4
  { swaps: true, flipX: false, flipY: false }, // 5
  { swaps: true, flipX: true, flipY: false }, // 6
  { swaps: true, flipX: true, flipY: true }, // 7
  { swaps: true, flipX: false, flipY: true }, // 8
];

function turnOf(orientation: number): Turn {
  return TURNS[orientation - 1] ?? TURNS[0];
}

/** Size of the upright picture. Orientations outside 1 to 8 count as 1. */
export function uprightSize(width: number, height: number, orientation: number): [number, number] {
  return turnOf(orientation).swaps ? [height, width] : [width, height];
}

/**
 * Index map from a stored grid to the upright one: the cell of index i (row-major, columns x rows, stored)
 * stands at result[i] in the upright grid (row-major).
 */
export function uprightIndexes(columns: number, rows: number, orientation: number): Int32Array {
  const { swaps, flipX, flipY } = turnOf(orientation);
  const [outColumns, outRows] = uprightSize(columns, rows, orientation);
  const indexes = new Int32Array(columns * rows);
  for (let y = 0, i = 0; y < rows; y++) {
    for (let x = 0; x < columns; x++, i++) {
      const u = swaps ? y : x;
      const v = swaps ? x : y;
      indexes[i] = (flipY ? outRows - 1 - v : v) * outColumns + (flipX ? outColumns - 1 - u : u);
    }
  }
  return indexes;
}

/** The picture as it is to be seen. Returns the same object where nothing turns. */
export function turnUpright(image: RgbImage, orientation: number): RgbImage {
  const { swaps, flipX, flipY } = turnOf(orientation);
  if (!swaps && !flipX && !flipY) return image;
  const { width, height, data } = image;
  const [outWidth, outHeight] = uprightSize(width, height, orientation);
  const out = new Uint8Array(data.length);
  const stepX = 3 * (swaps ? outWidth : 1) * ((swaps ? flipY : flipX) ? -1 : 1);
  for (let y = 0, from = 0; y < height; y++) {
    const u = swaps ? y : 0;
    const v = swaps ? 0 : y;
    const startX = flipX ? outWidth - 1 - u : u;
    const startY = flipY ? outHeight - 1 - v : v;
    let to = 3 * (startY * outWidth + startX);
    for (let x = 0; x < width; x++, from += 3, to += stepX) {
      out[to] = data[from];
      out[to + 1] = data[from + 1];
      out[to + 2] = data[from + 2];
    }
  }
  return { width: outWidth, height: outHeight, data: out };
}

/**
 * A piece of the picture as it is to be seen, without turning the rest of it.
 *
 * @param left, top of the piece in the upright picture, px; the piece must lie inside it
 */
export function cropUpright(
  image: RgbImage,
  orientation: number,
  { left, top, width, height }: { left: number; top: number; width: number; height: number },
): RgbImage {
  const { swaps, flipX, flipY } = turnOf(orientation);
  const [wholeWidth, wholeHeight] = uprightSize(image.width, image.height, orientation);
  const data = new Uint8Array(3 * width * height);
  for (let y = top, to = 0; y < top + height; y++) {
    const v = flipY ? wholeHeight - 1 - y : y;
    for (let x = left; x < left + width; x++, to += 3) {
      const u = flipX ? wholeWidth - 1 - x : x;
      const from = 3 * (swaps ? u * image.width + v : v * image.width + u);
      data[to] = image.data[from];
      data[to + 1] = image.data[from + 1];
      data[to + 2] = image.data[from + 2];
    }
  }
  return { width, height, data };
}
