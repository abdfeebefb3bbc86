/** Where the subject is in a photo, on the grid of the photo's cells. */
export interface Region {
  readonly columns: number;
  readonly rows: number;
  /** Share of each cell that the subject fills, 0 to 1, row-major. */
  readonly share: ArrayLike<number>;
}

/** A cell counts as subject from this share on: below, what lies behind shows as much. */
export const LEAST_SHARE = 0.5;

/** Cells that the subject fills at least by LEAST_SHARE, ascending. */
export function cellsOf({ share }: Region): number[] {
  const cells: number[] = [];
  for (let i = 0; i < share.length; i++) if (share[i] >= LEAST_SHARE) cells.push(i);
  return cells;
}
