/** Tiles along the long side: fine enough to tell subject from background, coarse enough to hold texture. */
const TILES_ALONG_LONG_SIDE = 12;

export interface TileGrid {
  readonly columns: number;
  readonly rows: number;
  /** columns + 1 pixel positions: tile c spans [xs[c], xs[c + 1]). */
  readonly xs: Int32Array;
  readonly ys: Int32Array;
}

/**
 * A grid of near-square tiles over a width x height picture, the same after any quarter turn or mirror.
 *
 * @param along tiles along the long side, at most as many as it has pixels
 */
export function tileGrid(width: number, height: number, along = TILES_ALONG_LONG_SIDE): TileGrid {
  const long = Math.max(width, height);
  const columns = Math.max(1, Math.round((along * width) / long));
  const rows = Math.max(1, Math.round((along * height) / long));
  return { columns, rows, xs: edges(width, columns), ys: edges(height, rows) };
}

/** Edges that mirror into themselves: edge(i) + edge(n - i) = size (but for the middle of an odd size). */
function edges(size: number, n: number): Int32Array {
  return Int32Array.from({ length: n + 1 }, (_, i) =>
    2 * i <= n ? Math.floor((i * size) / n) : size - Math.floor(((n - i) * size) / n),
  );
}
