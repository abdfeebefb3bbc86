import type { TileMeasures } from "../../types/photo.js";

/**
 * How far two photos are from being mirror images of one another: mean difference of the variance of the Laplacian (plus 1)
 * of a tile and of its mirror tile, stops; the smaller for mirrors left to right and upside down. 0 for exact mirror images;
 * infinite where the grids differ. Symmetric.
 */
export function mirrorDistanceStops(a: TileMeasures, b: TileMeasures): number {
  const { columns, rows } = a;
  if (columns !== b.columns || rows !== b.rows) return Number.POSITIVE_INFINITY;
  let across = 0;
  let down = 0;
  for (let y = 0; y < rows; y++)
    for (let x = 0; x < columns; x++) {
      const own = Math.log2(1 + a.laplacianVariance[y * columns + x]);
      const other = (column: number, row: number) =>
        Math.log2(1 + b.laplacianVariance[row * columns + column]);
      across += Math.abs(own - other(columns - 1 - x, y));
      down += Math.abs(own - other(x, rows - 1 - y));
    }
  return Math.min(across, down) / (columns * rows);
}
