import type { Features } from "../../types/photo.js";
import { CELL, CELL_FIELDS, type Surface, sumCells } from "./surface.js";

/** Half the side of a patch, in cells: patches are 24 x 24 px of the surface picture, about 1.5 % of a frame's width. */
const HALF_SIDE = 3;

/**
 * Fills `features.patches` with the means of the surface cells around each keypoint, in the order of a cell's
 * fields, so that two photos can be compared on the surface they share without their pixels. The share of
 * white noise is taken out of the band energies; what is left is at least a tenth of that share, so that a
 * patch that drowns in noise compares as soft and not as nothing.
 *
 * @param noiseVariance variance of the noise in surface.luma, grey levels squared
 */
export function fillPatches(features: Features, surface: Surface, noiseVariance: number): void {
  const { columns, rows, noiseGain } = surface;
  const toCells = surface.width / features.widthPx / CELL;
  const noise = [noiseGain.fine * noiseVariance, noiseGain.mid * noiseVariance];
  for (let k = 0; k < features.count; k++) {
    const column = Math.round(features.x[k] * toCells);
    const row = Math.round(features.y[k] * toCells);
    const x0 = Math.max(0, Math.min(columns - 1, column - HALF_SIDE));
    const x1 = Math.max(x0 + 1, Math.min(columns, column + HALF_SIDE));
    const y0 = Math.max(0, Math.min(rows - 1, row - HALF_SIDE));
    const y1 = Math.max(y0 + 1, Math.min(rows, row + HALF_SIDE));
    const share = 1 / ((x1 - x0) * (y1 - y0));
    const sums = sumCells(surface, { x0, x1, y0, y1 });
    for (let field = 0; field < CELL_FIELDS; field++) {
      let mean = sums[field] * share;
      const floor = noise[field - 4];
      if (floor !== undefined) mean = Math.max(mean - floor, 0.1 * floor, 1e-6);
      features.patches[CELL_FIELDS * k + field] = mean;
    }
  }
}
