import type { GreyImage, RgbImage } from "../../types.js";
import type { TileGrid } from "./tiles.js";
import { BLOCKED_CODE, CLIPPED_CODE } from "./tone.js";

/** What the one pass over the full-size colour pixels gives. Counts are per tile, row-major. */
export interface Scan {
  readonly luma: GreyImage;
  readonly clippedAny: Uint32Array;
  /** Pixels with two channels or three at the top. */
  readonly clippedTwo: Uint32Array;
  readonly clippedAll: Uint32Array;
  readonly blocked: Uint32Array;
}

/**
 * 8-bit luma (ITU-R BT.601 weights in 14-bit fixed point, rounded: the grey of the general-purpose vision
 * libraries) and the clipped and blocked pixels a tile.
 *
 * @param rgb any size
 * @param grid tiles of the same size
 */
export function scanPixels(rgb: RgbImage, grid: TileGrid): Scan {
  const { width, height, data } = rgb;
  const luma = new Uint8Array(width * height);
  const tiles = grid.columns * grid.rows;
  const clippedAny = new Uint32Array(tiles);
  const clippedTwo = new Uint32Array(tiles);
  const clippedAll = new Uint32Array(tiles);
  const blocked = new Uint32Array(tiles);
  for (let row = 0, tile = 0; row < grid.rows; row++) {
    for (let column = 0; column < grid.columns; column++, tile++) {
      const x0 = grid.xs[column];
      const x1 = grid.xs[column + 1];
      let any = 0;
      let two = 0;
      let all = 0;
      let none = 0;
      for (let y = grid.ys[row]; y < grid.ys[row + 1]; y++) {
        let to = y * width + x0;
        const end = y * width + x1;
        for (let from = 3 * to; to < end; to++, from += 3) {
          const r = data[from];
          const g = data[from + 1];
          const b = data[from + 2];
          luma[to] = (4899 * r + 9617 * g + 1868 * b + 8192) >> 14;
          // Negative only where a channel is clipped or blocked: one test for most pixels.
          const beyond =
            (r - BLOCKED_CODE - 1) |
            (g - BLOCKED_CODE - 1) |
            (b - BLOCKED_CODE - 1) |
            (CLIPPED_CODE - 1 - r) |
            (CLIPPED_CODE - 1 - g) |
            (CLIPPED_CODE - 1 - b);
          if (beyond >= 0) continue;
          if (r >= CLIPPED_CODE || g >= CLIPPED_CODE || b >= CLIPPED_CODE) {
            any++;
            const channels = +(r >= CLIPPED_CODE) + +(g >= CLIPPED_CODE) + +(b >= CLIPPED_CODE);
            if (channels >= 2) two++;
            if (channels === 3) all++;
          } else if (r <= BLOCKED_CODE && g <= BLOCKED_CODE && b <= BLOCKED_CODE) none++;
        }
      }
      clippedAny[tile] = any;
      clippedTwo[tile] = two;
      clippedAll[tile] = all;
      blocked[tile] = none;
    }
  }
  return { luma: { width, height, data: luma }, clippedAny, clippedTwo, clippedAll, blocked };
}
