import type { Cells } from "../../types/photo.js";
import { brightestCell, type Surface, sumCells } from "./surface.js";
import { tileGrid } from "./tiles.js";
import { LUMINANCE_WEIGHTS } from "./tone.js";

/** Cells along the long side: 24 px at 1920, finer than a highlight on a pot that fills half the frame. */
const CELLS_ALONG_LONG_SIDE = 80;

/** Codes a stop of light: steps of 0.06 stop, under the noise of any median. 255 is white, 1 is 2^-15.9 of it. */
const LIGHT_STEPS = 16;
/** Codes a stop of energy, and the code of 1 grey level squared: from 2^-7.9 to 2^23.9. */
const ENERGY_STEPS = 8;
const UNIT_ENERGY = 64;

/** Linear light, 1 = white, by code; 0 for code 0: too dark to tell from black. */
export const LIGHT_OF_CODE = Float64Array.from({ length: 256 }, (_, code) =>
  code === 0 ? 0 : 2 ** ((code - 255) / LIGHT_STEPS),
);

/** Band energy, grey levels squared, by code; 0 for code 0. */
export const ENERGY_OF_CODE = Float64Array.from({ length: 256 }, (_, code) =>
  code === 0 ? 0 : 2 ** ((code - UNIT_ENERGY) / ENERGY_STEPS),
);

/** The code nearest to a level of linear light. */
export function codeOfLight(linear: number): number {
  return codeOf(linear, LIGHT_STEPS, 255);
}

/** The code nearest to a band energy. */
export function codeOfEnergy(energy: number): number {
  return codeOf(energy, ENERGY_STEPS, UNIT_ENERGY);
}

function codeOf(value: number, steps: number, unit: number): number {
  if (value <= 0) return 0;
  return Math.max(0, Math.min(255, Math.round(unit + steps * Math.log2(value))));
}

/** Linear luminance of a cell, 0 to 1. @see ITU-R BT.709 */
export function luminanceOfCell({ red, green, blue }: Cells, cell: number): number {
  return (
    LUMINANCE_WEIGHTS[0] * LIGHT_OF_CODE[red[cell]] +
    LUMINANCE_WEIGHTS[1] * LIGHT_OF_CODE[green[cell]] +
    LUMINANCE_WEIGHTS[2] * LIGHT_OF_CODE[blue[cell]]
  );
}

/** Arena for a grid of cells, all zero, over one block of shared memory: posting it to a thread copies nothing. */
export function createCells(columns: number, rows: number): Cells {
  const count = columns * rows;
  const buffer = new SharedArrayBuffer(7 * count);
  const field = (k: number): Uint8Array => new Uint8Array(buffer, k * count, count);
  return {
    columns,
    rows,
    red: field(0),
    green: field(1),
    blue: field(2),
    brightest: field(3),
    saturated: field(4),
    fine: field(5),
    mid: field(6),
  };
}

/**
 * A photo's cells from its surface.
 *
 * @param noiseVariance variance of the noise in surface.luma, grey levels squared
 * @returns CELLS_ALONG_LONG_SIDE cells along the long side, fewer for a picture of under 320 px; a flat picture has
 * equal light everywhere and energies of 0
 */
export function fillCells(surface: Surface, noiseVariance: number): Cells {
  const long = Math.max(surface.columns, surface.rows);
  const grid = tileGrid(surface.columns, surface.rows, Math.min(CELLS_ALONG_LONG_SIDE, long));
  const out = createCells(grid.columns, grid.rows);
  const fineNoise = surface.noiseGain.fine * noiseVariance;
  const midNoise = surface.noiseGain.mid * noiseVariance;
  for (let row = 0, cell = 0; row < grid.rows; row++) {
    for (let column = 0; column < grid.columns; column++, cell++) {
      const [x0, x1] = [grid.xs[column], grid.xs[column + 1]];
      const [y0, y1] = [grid.ys[row], grid.ys[row + 1]];
      const block = { x0, x1, y0, y1 };
      const sums = sumCells(surface, block);
      const share = 1 / ((x1 - x0) * (y1 - y0));
      out.red[cell] = codeOfLight(sums[0] * share);
      out.green[cell] = codeOfLight(sums[1] * share);
      out.blue[cell] = codeOfLight(sums[2] * share);
      out.brightest[cell] = codeOfLight(brightestCell(surface, block));
      out.saturated[cell] = Math.round(255 * sums[3] * share);
      out.fine[cell] = codeOfEnergy(sums[4] * share - fineNoise);
      out.mid[cell] = codeOfEnergy(sums[5] * share - midNoise);
    }
  }
  return out;
}
