import { type Arena, withArena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
import type { GreyImage } from "../../types/pixels.js";
import { type TileGrid, tileGrid } from "./tiles.js";

/** Sums of the 4-neighbour Laplacian and of the noise operator, whole frame and per tile. */
export interface LaplacianSums {
  /** Variance of the Laplacian over the whole frame, grey levels squared. */
  readonly variance: number;
  /** The same over each tile, row-major. */
  readonly tileVariance: Float64Array;
  /** Noise standard deviation of each tile, grey levels; see noiseOf. */
  readonly tileNoise: Float64Array;
}

/**
 * Variance of the 4-neighbour Laplacian [0 1 0; 1 -4 1; 0 1 0] (higher is sharper, or busier; flat: 0), and in
 * the same pass Immerkaer's noise operator. The frame's edge is mirrored without repeating the edge pixel,
 * as the general-purpose vision libraries do; the noise operator leaves the edge out, as published.
 *
 * @param image at least 3 x 3
 * @throws RangeError if the image is smaller
 * @see Pech-Pacheco et al. 2000, "Diatom autofocusing in brightfield microscopy" (variance of the Laplacian)
 * @see Immerkaer 1996, "Fast noise variance estimation", CVIU 64:300: kernel [1 -2 1; -2 4 -2; 1 -2 1],
 *   sigma = sqrt(pi / 2) / 6 * mean |I * N|. It reads texture as noise.
 */
export function measureLaplacian(
  image: GreyImage,
  grid: TileGrid = tileGrid(image.width, image.height),
): LaplacianSums {
  const { width, height, data } = image;
  return withArena((arena) => {
    const sweep = new LaplacianSweep(width, height, grid, arena);
    for (let y = 0; y < height; y++) {
      arena.u8(sweep.rowAt(y), width).set(data.subarray(y * width, (y + 1) * width));
      sweep.wrote(y);
    }
    return sweep.sums();
  });
}

/** Rows held: one above, the one that is summed, one below. */
const ROWS = 3;
/** Bytes before a row, for the mirrored edge pixel. */
const BEFORE = 16;
/** Sums a tile: see laplacianRow. */
const SUMS = 3;

/** {@link measureLaplacian} fed row by row, from the top: write row y at rowAt(y), then say so. */
export class LaplacianSweep {
  readonly #width: number;
  readonly #height: number;
  readonly #grid: TileGrid;
  readonly #arena: Arena;
  readonly #rows: readonly Address[];
  readonly #edges: Address;
  readonly #sums: Address;
  /** What stands at #sums. */
  readonly #found: Float64Array;
  #tileRow = 0;

  /** @throws RangeError below 3 x 3 px */
  constructor(width: number, height: number, grid: TileGrid, arena: Arena) {
    if (width < 3 || height < 3) {
      throw new RangeError(`expected an image of at least 3 x 3 px, found ${width} x ${height}`);
    }
    this.#width = width;
    this.#height = height;
    this.#grid = grid;
    this.#arena = arena;
    this.#rows = Array.from({ length: ROWS }, () => arena.take(BEFORE + width) + BEFORE);
    this.#edges = arena.copy(grid.xs);
    const numbers = SUMS * grid.columns * grid.rows;
    this.#sums = arena.filled(8 * numbers);
    this.#found = arena.f64(this.#sums, numbers);
  }

  /** Where row y is to be written. */
  rowAt(y: number): Address {
    return this.#rows[y % ROWS];
  }

  /** Row y stands: sums the row above it, and the last row by itself. */
  wrote(y: number): void {
    const { bytes } = this.#arena;
    const first = this.rowAt(y);
    const last = first + this.#width - 1;
    bytes[first - 1] = bytes[first + 1];
    bytes[last + 1] = bytes[last - 1];
    if (y > 0) this.#sum(y - 1);
    if (y === this.#height - 1) this.#sum(y);
  }

  sums(): LaplacianSums {
    const { columns, rows, xs, ys } = this.#grid;
    const tiles = columns * rows;
    const tileVariance = new Float64Array(tiles);
    const tileNoise = new Float64Array(tiles);
    let sum = 0;
    let squares = 0;
    for (let row = 0, tile = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++, tile++) {
        const [s, ss, noise] = this.#found.subarray(SUMS * tile, SUMS * (tile + 1));
        const [x0, x1, y0, y1] = [xs[column], xs[column + 1], ys[row], ys[row + 1]];
        sum += s;
        squares += ss;
        tileVariance[tile] = variance(s, ss, (x1 - x0) * (y1 - y0));
        tileNoise[tile] = noiseOf(noise, innerCount(x0, x1, this.#width) * innerCount(y0, y1, this.#height));
      }
    }
    return { variance: variance(sum, squares, this.#width * this.#height), tileVariance, tileNoise };
  }

  #sum(y: number): void {
    const { columns, ys } = this.#grid;
    while (y >= ys[this.#tileRow + 1]) this.#tileRow++;
    const at = this.#sums + 8 * SUMS * columns * this.#tileRow;
    const first = y === 0;
    const last = y === this.#height - 1;
    const above = this.rowAt(first ? 1 : y - 1);
    const here = this.rowAt(y);
    const below = this.rowAt(last ? y - 1 : y + 1);
    // The noise operator has no place in the first and last row, nor in the first and last column.
    const noiseBefore = first || last ? this.#found.slice() : undefined;
    kernels().laplacianRow(above, here, below, this.#edges, columns, at);
    const left = SUMS * columns * this.#tileRow + 2;
    const right = left + SUMS * (columns - 1);
    if (noiseBefore === undefined) {
      this.#found[left] -= this.#noiseAt(above, here, below, 0);
      this.#found[right] -= this.#noiseAt(above, here, below, this.#width - 1);
      return;
    }
    for (let i = left; i <= right; i += SUMS) this.#found[i] = noiseBefore[i];
  }

  /** Size of the noise operator at pixel x of a row. */
  #noiseAt(above: Address, here: Address, below: Address, x: number): number {
    const { bytes } = this.#arena;
    const bend = (at: Address) => bytes[at + x - 1] - 2 * bytes[at + x] + bytes[at + x + 1];
    return Math.abs(bend(above) - 2 * bend(here) + bend(below));
  }
}

function variance(sum: number, sumOfSquares: number, count: number): number {
  return count === 0 ? 0 : Math.max(0, sumOfSquares / count - (sum / count) ** 2);
}

function innerCount(from: number, to: number, size: number): number {
  return Math.max(0, Math.min(to, size - 1) - Math.max(from, 1));
}

/** Standard deviation of white noise whose Immerkaer operator sums to `sum` over `count` pixels. */
function noiseOf(sum: number, count: number): number {
  return count === 0 ? 0 : (Math.sqrt(Math.PI / 2) * sum) / (6 * count);
}
