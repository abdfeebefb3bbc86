import type { Arena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
import type { RgbImage } from "../../types/pixels.js";
import { type LaplacianSums, LaplacianSweep } from "./laplacian.js";
import { RowShrinker } from "./resample.js";
import type { TileGrid } from "./tiles.js";
import { BLOCKED_CODE, CLIPPED_CODE, NEAR_TOP_CODE } from "./tone.js";

/** What the one pass over the full-size pixels gives. Counts are per tile, row-major. */
export interface Scan {
  readonly clippedAny: Uint32Array;
  /** Pixels with two channels at the top and the third at most a stop under it. */
  readonly clippedTwo: Uint32Array;
  readonly clippedAll: Uint32Array;
  readonly blocked: Uint32Array;
  /** Of the 8-bit luma: ITU-R BT.601 weights, rounded: the grey of the general-purpose vision libraries. */
  readonly laplacian: LaplacianSums;
}

/** Interleaved RGB in the arena. */
interface Picture {
  readonly width: number;
  readonly height: number;
  readonly at: Address;
}

/** Bytes of pixels handed over at a time: they stay in a core's own cache. */
const STRIP_BYTES = 128 * 1024;
/** Counts a tile; see countRow. */
const COUNTS = 4;

/**
 * Walks the pixels once, a strip of rows at a time: clipped and blocked pixels, the Laplacian of the luma, and the
 * small picture that all else is measured on. The luma exists three rows at a time only.
 *
 * @param rgb at least 3 x 3
 * @param grid tiles of the same size
 * @param small receives the picture brought down to its size
 */
export function scanPixels(rgb: RgbImage, grid: TileGrid, small: Picture, arena: Arena): Scan {
  const { width, height, data } = rgb;
  const shrinker = new RowShrinker(width, height, small.width, small.height, 3, small.at, arena);
  const sweep = new LaplacianSweep(width, height, grid, arena);
  const edges = arena.copy(grid.xs);
  const tiles = grid.columns * grid.rows;
  const counts = arena.filled(4 * COUNTS * tiles);
  const rowBytes = 3 * width;
  const stripRows = Math.max(1, Math.floor(STRIP_BYTES / rowBytes));
  const strip = arena.take(stripRows * rowBytes);
  const { countRow, lumaRow } = kernels();
  let tileRow = 0;
  for (let y0 = 0; y0 < height; y0 += stripRows) {
    const y1 = Math.min(height, y0 + stripRows);
    arena.u8(strip, (y1 - y0) * rowBytes).set(data.subarray(y0 * rowBytes, y1 * rowBytes));
    for (let y = y0; y < y1; y++) {
      const row = strip + (y - y0) * rowBytes;
      while (y >= grid.ys[tileRow + 1]) tileRow++;
      const to = counts + 4 * COUNTS * grid.columns * tileRow;
      countRow(row, edges, grid.columns, CLIPPED_CODE, NEAR_TOP_CODE, BLOCKED_CODE, to);
      lumaRow(row, sweep.rowAt(y), width);
      sweep.wrote(y);
      shrinker.add(y, row);
    }
  }
  const found = arena.u32(counts, COUNTS * tiles);
  const each = (k: number) => Uint32Array.from({ length: tiles }, (_, tile) => found[COUNTS * tile + k]);
  return {
    clippedAny: each(0),
    clippedTwo: each(1),
    clippedAll: each(2),
    blocked: each(3),
    laplacian: sweep.sums(),
  };
}
