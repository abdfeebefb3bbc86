import { withArena } from "../../kernels/arena.js";
import { kernels } from "../../kernels/kernels.js";
import type { Cells } from "../../types/photo.js";
import { ENERGY_OF_CODE, LIGHT_OF_CODE } from "../photo/cells.js";

/** How alike each cell is to the one on its right and the one below, 0 (an edge) to 1 (no difference). */
export interface Affinity {
  readonly columns: number;
  readonly rows: number;
  /** Of (column, row) and (column + 1, row); 0 in the last column. */
  readonly right: Float32Array;
  /** Of (column, row) and (column, row + 1); 0 in the last row. */
  readonly below: Float32Array;
}

/** Stops of light and of texture energy that count as one unit of difference. */
const LIGHT_UNIT = 0.5;
const COLOUR_UNIT = 0.25;
const TEXTURE_UNIT = 2;
/** Linear light and energy (grey levels squared) below which differences are noise. */
const DARKEST = 0.002;
const LEAST_ENERGY = 0.5;
/** Share of the usual difference between neighbouring cells that is one unit: less makes more edges. */
const SENSITIVITY = 0.6;
/** Even across the strongest edge something passes, so that the system has one solution. */
const LEAST_AFFINITY = 1e-3;

/** The logarithms that affinity is made of, in its units, by code. */
const LIGHT = LIGHT_OF_CODE.map((light) => Math.log2(Math.max(DARKEST, light)) / LIGHT_UNIT);
const COLOUR = LIGHT.map((light) => (light * LIGHT_UNIT) / COLOUR_UNIT);
const TEXTURE = ENERGY_OF_CODE.map((energy) => Math.log2(LEAST_ENERGY + energy) / TEXTURE_UNIT);

/**
 * Affinity of neighbouring cells in light, colour and texture: exp(-d^2), with d in units of the photo's own usual
 * difference, so that a busy photo has edges where it changes more than it does elsewhere.
 */
export function affinityOf(cells: Cells): Affinity {
  const { columns, rows } = cells;
  const count = columns * rows;
  const features = new Float32Array(4 * count);
  for (let i = 0; i < count; i++) {
    features[4 * i] = LIGHT[cells.green[i]];
    features[4 * i + 1] = COLOUR[cells.red[i]] - COLOUR[cells.green[i]];
    features[4 * i + 2] = COLOUR[cells.blue[i]] - COLOUR[cells.green[i]];
    features[4 * i + 3] = TEXTURE[cells.mid[i]];
  }
  const right = new Float32Array(count);
  const below = new Float32Array(count);
  let total = 0;
  for (let row = 0, i = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, i++) {
      if (column < columns - 1) right[i] = difference(features, i, i + 1);
      if (row < rows - 1) below[i] = difference(features, i, i + columns);
      total += right[i] + below[i];
    }
  }
  const usual = Math.max(0.1, (SENSITIVITY * total) / (2 * count));
  for (let row = 0, i = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, i++) {
      right[i] = column < columns - 1 ? Math.max(LEAST_AFFINITY, Math.exp(-right[i] / usual)) : 0;
      below[i] = row < rows - 1 ? Math.max(LEAST_AFFINITY, Math.exp(-below[i] / usual)) : 0;
    }
  }
  return { columns, rows, right, below };
}

function difference(features: Float32Array, i: number, j: number): number {
  let sum = 0;
  for (let c = 0; c < 4; c++) sum += (features[4 * i + c] - features[4 * j + c]) ** 2;
  return sum;
}

/** Most steps of the solver (40 change no region by more than a cell here and there), and the squared error a cell, over its weight, at which it stops. */
const STEPS = 24;
const ENOUGH = 1e-7;

/**
 * Spreads what is known of some cells over all: the values p that minimise
 * sum of weight (p - observation)^2 + sum over neighbours of affinity (p - q)^2, by conjugate gradients.
 *
 * @param weight one a cell, > 0; @param observation one a cell, 0 to 1
 * @returns 0 to 1, one a cell
 * @see Grady 2005, "Multilabel random walker image segmentation using prior models", CVPR, equation 9
 */
export function spread(affinity: Affinity, weight: Float32Array, observation: Float32Array): Float32Array {
  const { columns, rows } = affinity;
  const count = columns * rows;
  return withArena((arena) => {
    // A row and a vector of nothing before and behind spare the kernel every test for the grid's edge.
    const edge = columns + 4;
    const padded = (values?: Float32Array): [address: number, cells: Float32Array] => {
      const at = arena.filled(4 * (count + 2 * edge)) + 4 * edge;
      const cells = arena.f32(at, count);
      if (values !== undefined) cells.set(values);
      return [at, cells];
    };
    const [right] = padded(affinity.right);
    const [below] = padded(affinity.below);
    const [diagonal] = padded(weight);
    const [rightHandSide] = padded(weight);
    const [x, answer] = padded(observation);
    kernels().weighCells(columns, rows, right, below, x, diagonal, rightHandSide);
    // The kernel divides by it.
    arena.f32(diagonal + 4 * count, edge).fill(1);
    const [[residual], [direction], [product]] = [padded(), padded(), padded()];
    kernels().spreadCells(
      columns,
      rows,
      diagonal,
      right,
      below,
      rightHandSide,
      x,
      residual,
      direction,
      product,
      STEPS,
      ENOUGH * count,
    );
    return answer.slice();
  });
}
