import type { Cells } from "../../types/photo.js";
import { luminanceOfCell } from "../photo/cells.js";
import { median } from "../statistics.js";
import { cellsOf, type Region } from "./region.js";

/** Fewest cells that make a subject: a square of five, 1/16 of the long side. */
export const FEWEST_CELLS = 25;

/** Linear luminance under this is black as far as 8 bits can tell: code value 1 in sRGB. */
const DARKEST = 1 / 255 / 12.92;

/**
 * log2 of the median linear luminance of the subject's cells, stops; 1 = white, so 0 at most. The median, since
 * highlights and holes are not the light. A flat picture gives the log2 of its luminance.
 *
 * @param region on the grid of `cells`
 * @returns undefined where the subject fills fewer than FEWEST_CELLS cells
 */
export function subjectStops(cells: Cells, region: Region): number | undefined {
  const inside = cellsOf(region);
  if (inside.length < FEWEST_CELLS) return undefined;
  const luminance = new Float64Array(inside.map((cell) => luminanceOfCell(cells, cell)));
  return Math.log2(Math.max(DARKEST, median(luminance)));
}
