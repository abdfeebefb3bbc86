import type { Features } from "../../types.js";
import type { SubjectRegion } from "./region.js";

/** Chance from which a cell counts as the subject's, and under which it counts as the background's. */
export const ON_SUBJECT = 0.5;
export const OFF_SUBJECT = 0.25;

/** Chance that each keypoint of a photo lies on the subject, one a keypoint. */
export function keypointShares(
  { count, x, y, widthPx, heightPx }: Features,
  { columns, rows, share }: SubjectRegion,
): Float32Array {
  const out = new Float32Array(count);
  for (let k = 0; k < count; k++) {
    const column = Math.min(columns - 1, Math.max(0, Math.floor(((x[k] + 0.5) * columns) / widthPx)));
    const row = Math.min(rows - 1, Math.max(0, Math.floor(((y[k] + 0.5) * rows) / heightPx)));
    out[k] = share[row * columns + column];
  }
  return out;
}

/**
 * Cells that lie inside a region with their four neighbours, so that no edge against the background counts as
 * the subject's own; all of the region's cells where it is too thin to have such.
 *
 * @param inside whether a cell belongs to the region
 */
export function innerCells(columns: number, rows: number, inside: (cell: number) => boolean): number[] {
  const all: number[] = [];
  const inner: number[] = [];
  for (let row = 0, cell = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, cell++) {
      if (!inside(cell)) continue;
      all.push(cell);
      const alone =
        (column > 0 && !inside(cell - 1)) ||
        (column < columns - 1 && !inside(cell + 1)) ||
        (row > 0 && !inside(cell - columns)) ||
        (row < rows - 1 && !inside(cell + columns));
      if (!alone) inner.push(cell);
    }
  }
  return inner.length >= FEWEST_INNER ? inner : all;
}

/** Fewer inner cells than this say less than all of the region's cells do. */
const FEWEST_INNER = 20;
