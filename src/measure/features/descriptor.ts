import { type Address, kernels } from "../../kernels/kernels.js";
import type { Room } from "../../kernels/room.js";
import type { FloatImage } from "./pyramid.js";

/**
 * Gradient histograms of 4 x 4 cells and 8 directions over a patch turned to the blob's direction, made binary:
 * 128 bits say which of two neighbouring directions is stronger in a cell, 128 which of two neighbouring cells is
 * stronger in a direction. Comparisons need no normalising and do not change with brightness or contrast.
 *
 * @see Lowe 2004, section 6, for the histograms; differs in the fixed patch, the split of a gradient into the two
 * nearest directions without trigonometry, and the comparisons instead of 128 numbers.
 */

/** Gradients along the patch, which is read two samples wider. */
const INNER = 16;
const CELLS = 4;
const DIRECTIONS = 8;
/** Width of a cell in sigmas of the blob. Lowe 2004 takes 3 (from memory); comparisons want more to go on. */
const CELL_SIGMAS = 4;
const SAMPLE_SIGMAS = (CELL_SIGMAS * CELLS) / INNER;
/** Window of the patch: half its width (Lowe 2004, section 6.1), in samples. */
const WINDOW_SAMPLES = INNER / 2;

/** The tables that describing a blob reads, in the room. */
export interface DescriptorTables {
  readonly feeds: Address;
  readonly neighbours: Address;
}

export function descriptorTables(room: Room): DescriptorTables {
  return { feeds: room.copy(FEEDS), neighbours: room.copy(NEIGHBOURS) };
}

/** For each place along an axis of the patch, the two cells along it that it feeds (byte offsets) and their weights. */
const FEEDS = new Int32Array(INNER * 2 * 2);
const WEIGHTS = new Float32Array(FEEDS.buffer);
for (let x = 0; x < INNER; x++) {
  const fromCentre = x - (INNER - 1) / 2;
  const window = Math.exp(-(fromCentre * fromCentre) / (2 * WINDOW_SAMPLES ** 2));
  const place = (x + 0.5) / CELLS - 0.5;
  for (let k = 0; k < 2; k++) {
    const cell = Math.floor(place) + k;
    // Beyond the border a weight of 0 goes to the first cell.
    if (cell < 0 || cell >= CELLS) continue;
    FEEDS[4 * x + 2 * k] = 4 * cell * DIRECTIONS;
    WEIGHTS[4 * x + 2 * k + 1] = window * (1 - Math.abs(place - cell));
  }
}

/** The cell each cell is compared with: right, or down, in turn, around the border; byte offsets. */
const NEIGHBOURS = Int32Array.from({ length: CELLS * CELLS }, (_, cell) => {
  const x = cell % CELLS;
  const y = Math.floor(cell / CELLS);
  const right = (x + y) % 2 === 0;
  const nx = right ? (x + 1) % CELLS : x;
  const ny = right ? y : (y + 1) % CELLS;
  return 4 * (ny * CELLS + nx) * DIRECTIONS;
});

/**
 * Writes the 256 bits of one blob to eight words at `out`.
 *
 * @param image Gaussian level at the blob's scale
 * @param x position in pixels of `image`, as y
 * @param sigma the blob's scale in pixels of `image`
 * @param angle radians, y down
 * @param bright whether the blob is brighter than its ground: the highest bit of the last word
 */
export function describe(
  image: FloatImage,
  x: number,
  y: number,
  sigma: number,
  angle: number,
  bright: boolean,
  tables: DescriptorTables,
  out: Address,
): void {
  const { at, width, height } = image;
  const ux = Math.cos(angle) * SAMPLE_SIGMAS * sigma;
  const uy = Math.sin(angle) * SAMPLE_SIGMAS * sigma;
  kernels().describe(at, width, height, x, y, ux, uy, tables.feeds, tables.neighbours, +bright, out);
}
