import type { Arena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
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

/** The tables that describing a blob reads, in the arena. */
export interface DescriptorTables {
  readonly weights: Address;
  readonly neighbours: Address;
}

export function descriptorTables(arena: Arena): DescriptorTables {
  return { weights: arena.copy(WEIGHTS), neighbours: arena.copy(NEIGHBOURS) };
}

/** Weights of the places along an axis of the patch in each of the cells along it, a cell after the other. */
const WEIGHTS = Float32Array.from({ length: CELLS * INNER }, (_, i) => {
  const x = i % INNER;
  const cell = Math.floor(i / INNER);
  const fromCentre = x - (INNER - 1) / 2;
  const window = Math.exp(-(fromCentre * fromCentre) / (2 * WINDOW_SAMPLES ** 2));
  const place = (x + 0.5) / CELLS - 0.5;
  return window * Math.max(0, 1 - Math.abs(place - cell));
});

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
  kernels().describe(at, width, height, x, y, ux, uy, tables.weights, tables.neighbours, +bright, out);
}
