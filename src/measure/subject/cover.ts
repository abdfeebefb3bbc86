import type { Features } from "../../types/photo.js";

/** Share (or chance) from which a cell counts as the subject's: below, what lies behind shows as much; and under which it counts as the background's. */
export const ON_SUBJECT = 0.5;
export const OFF_SUBJECT = 0.25;

/** Which cells of a photo show the subject. */
export interface SubjectRegion {
  /** The grid of the photo's cells, upright frame. */
  readonly columns: number;
  readonly rows: number;
  /** Chance that each cell shows the subject, 0 to 1, row-major: 0.5 and more counts as subject. */
  readonly share: Float32Array;
  /** 0 (guesswork) to 1. */
  readonly confidence: number;
  /** Found from the matches' geometry, or taken to be the middle of the frame. */
  readonly source: "geometry" | "centre";
}

/** Where the subject is in a photo, on a grid of cells: what it fills of each, or the chance that it does, row-major. */
interface Shares {
  readonly columns: number;
  readonly rows: number;
  readonly share: ArrayLike<number>;
}

/** The share of the cell that a keypoint lies in. */
export function shareAt(
  { x, y, widthPx, heightPx }: Pick<Features, "x" | "y" | "widthPx" | "heightPx">,
  keypoint: number,
  { columns, rows, share }: Shares,
): number {
  const column = Math.floor(((x[keypoint] + 0.5) * columns) / widthPx);
  const row = Math.floor(((y[keypoint] + 0.5) * rows) / heightPx);
  return share[Math.min(rows - 1, Math.max(0, row)) * columns + Math.min(columns - 1, Math.max(0, column))];
}

/** Chance that each keypoint of a photo lies on the subject, one a keypoint. */
export function keypointShares(features: Features, region: Shares): Float32Array {
  const shares = new Float32Array(features.count);
  for (let k = 0; k < shares.length; k++) shares[k] = shareAt(features, k, region);
  return shares;
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
