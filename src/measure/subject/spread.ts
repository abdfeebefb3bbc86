import type { Cells } from "../../types.js";
import { ENERGY_OF_CODE, LIGHT_OF_CODE } from "../photo/cells.js";

/** How alike each cell is to the one on its right and the one below, 0 (an edge) to 1 (no difference). */
export interface Likeness {
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
const LEAST_LIKENESS = 1e-3;

/**
 * Likeness of neighbouring cells in light, colour and texture: exp(-d^2), with d in units of the photo's own usual
 * difference, so that a busy photo has edges where it changes more than it does elsewhere.
 */
export function likenessOf(cells: Cells): Likeness {
  const { columns, rows } = cells;
  const count = columns * rows;
  const features = new Float32Array(4 * count);
  for (let i = 0; i < count; i++) {
    const green = Math.max(DARKEST, LIGHT_OF_CODE[cells.green[i]]);
    features[4 * i] = Math.log2(green) / LIGHT_UNIT;
    features[4 * i + 1] = Math.log2(Math.max(DARKEST, LIGHT_OF_CODE[cells.red[i]]) / green) / COLOUR_UNIT;
    features[4 * i + 2] = Math.log2(Math.max(DARKEST, LIGHT_OF_CODE[cells.blue[i]]) / green) / COLOUR_UNIT;
    features[4 * i + 3] = Math.log2(LEAST_ENERGY + ENERGY_OF_CODE[cells.mid[i]]) / TEXTURE_UNIT;
  }
  const difference = (i: number, j: number): number => {
    let sum = 0;
    for (let c = 0; c < 4; c++) sum += (features[4 * i + c] - features[4 * j + c]) ** 2;
    return sum;
  };
  const right = new Float32Array(count);
  const below = new Float32Array(count);
  let total = 0;
  for (let row = 0, i = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, i++) {
      if (column < columns - 1) right[i] = difference(i, i + 1);
      if (row < rows - 1) below[i] = difference(i, i + columns);
      total += right[i] + below[i];
    }
  }
  const usual = Math.max(0.1, (SENSITIVITY * total) / (2 * count));
  for (let row = 0, i = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, i++) {
      right[i] = column < columns - 1 ? Math.max(LEAST_LIKENESS, Math.exp(-right[i] / usual)) : 0;
      below[i] = row < rows - 1 ? Math.max(LEAST_LIKENESS, Math.exp(-below[i] / usual)) : 0;
    }
  }
  return { columns, rows, right, below };
}

/** Most steps of the solver (40 change no region by more than a cell here and there), and the squared error a cell, over its weight, at which it stops. */
const STEPS = 24;
const ENOUGH = 1e-7;

/**
 * Spreads what is known of some cells over all: the values p that minimise
 * sum of trust (p - wish)^2 + sum over neighbours of likeness (p - q)^2, by conjugate gradients.
 *
 * @param trust one a cell, > 0; @param wish one a cell, 0 to 1
 * @returns 0 to 1, one a cell
 * @see Grady 2005, "Multilabel random walker image segmentation using prior models", CVPR, equation 9
 */
export function spread(likeness: Likeness, trust: Float32Array, wish: Float32Array): Float32Array {
  const { columns, rows } = likeness;
  const count = columns * rows;
  // A row of nothing before and after spares the inner loop every test for the grid's edge.
  const padded = (values?: Float32Array): Float32Array => {
    const out = new Float32Array(count + 2 * columns);
    if (values !== undefined) out.set(values, columns);
    return out;
  };
  const end = count + columns;
  const right = padded(likeness.right);
  const below = padded(likeness.below);
  const diagonal = padded(trust);
  for (let i = columns; i < end; i++) diagonal[i] += right[i] + right[i - 1] + below[i] + below[i - columns];
  const x = padded(wish);
  const product = padded();
  const residual = padded();
  const direction = padded();
  const multiply = (by: Float32Array): number => {
    let sum = 0;
    for (let i = columns; i < end; i++) {
      const value =
        diagonal[i] * by[i] -
        right[i] * by[i + 1] -
        right[i - 1] * by[i - 1] -
        below[i] * by[i + columns] -
        below[i - columns] * by[i - columns];
      product[i] = value;
      sum += value * by[i];
    }
    return sum;
  };
  multiply(x);
  let rz = 0;
  for (let i = columns; i < end; i++) {
    const left = trust[i - columns] * wish[i - columns] - product[i];
    residual[i] = left;
    direction[i] = left / diagonal[i];
    rz += left * direction[i];
  }
  const enough = ENOUGH * count;
  for (let step = 0; step < STEPS && rz > enough; step++) {
    const alpha = rz / multiply(direction);
    let next = 0;
    for (let i = columns; i < end; i++) {
      x[i] += alpha * direction[i];
      const left = residual[i] - alpha * product[i];
      residual[i] = left;
      next += (left * left) / diagonal[i];
    }
    const beta = next / rz;
    rz = next;
    for (let i = columns; i < end; i++) direction[i] = residual[i] / diagonal[i] + beta * direction[i];
  }
  return x.slice(columns, end);
}
