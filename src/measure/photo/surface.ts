import type { RgbImage } from "../../types.js";
import { type Bands, measureBands } from "./bands.js";
import type { TileGrid } from "./tiles.js";
import { BLOCKED_CODE, CLIPPED_CODE, LINEAR_OF_CODE } from "./tone.js";

/** Long edge of the picture that bands and colours are measured on, px; faults are stated at this size. */
export const SURFACE_LONG_EDGE = 1920;

/** Side of a cell of the surface grid, px of the surface picture. */
export const CELL = 4;

/** Numbers a cell: linear red, green, blue (0 to 1), saturated share, fine and mid band energy. */
export const CELL_FIELDS = 6;

/** What the surface looks like in cells of CELL x CELL px of the upright surface picture, row-major. */
export interface Surface {
  readonly columns: number;
  readonly rows: number;
  /** CELL_FIELDS numbers a cell. Band energies are in grey levels squared, noise still in. */
  readonly cells: Float32Array;
  /** Size of the surface picture, px. */
  readonly width: number;
  readonly height: number;
  /** 8-bit luma of the surface picture, unrounded, 0 to 255. */
  readonly luma: Float32Array;
  /** What white noise of variance 1 in `luma` adds to the energies. */
  readonly noiseGain: Bands["noiseGain"];
}

/**
 * @param picture upright, long edge at most SURFACE_LONG_EDGE, at least 2 CELL on either side
 */
export function measureSurface(picture: RgbImage): Surface {
  const { width, height, data } = picture;
  const columns = Math.floor(width / CELL);
  const rows = Math.floor(height / CELL);
  const cells = new Float32Array(columns * rows * CELL_FIELDS);
  const luma = new Float32Array(width * height);
  const share = 1 / (CELL * CELL);
  for (let y = 0, i = 0; y < height; y++) {
    const cellRow = Math.floor(y / CELL);
    for (let x = 0; x < width; x++, i++) {
      const r = data[3 * i];
      const g = data[3 * i + 1];
      const b = data[3 * i + 2];
      luma[i] = 0.299 * r + 0.587 * g + 0.114 * b;
      const cellColumn = x >> 2;
      if (cellRow >= rows || cellColumn >= columns) continue;
      const at = CELL_FIELDS * (cellRow * columns + cellColumn);
      cells[at] += share * LINEAR_OF_CODE[r];
      cells[at + 1] += share * LINEAR_OF_CODE[g];
      cells[at + 2] += share * LINEAR_OF_CODE[b];
      const clipped = r >= CLIPPED_CODE || g >= CLIPPED_CODE || b >= CLIPPED_CODE;
      const blocked = r <= BLOCKED_CODE && g <= BLOCKED_CODE && b <= BLOCKED_CODE;
      if (clipped || blocked) cells[at + 3] += share;
    }
  }
  const bands = measureBands(luma, width, height, Math.max(width, height) / SURFACE_LONG_EDGE);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const at = CELL_FIELDS * (row * columns + column);
      cells[at + 4] = bands.fine[row * bands.columns + column];
      cells[at + 5] = bands.mid[row * bands.columns + column];
    }
  }
  return { columns, rows, cells, width, height, luma, noiseGain: bands.noiseGain };
}

/** Mean of one cell field over each tile of a grid laid over the surface picture, row-major. */
export function tileMeans(surface: Surface, grid: TileGrid, field: number): Float64Array {
  const { columns, rows, cells } = surface;
  const means = new Float64Array(grid.columns * grid.rows);
  for (let tileRow = 0, tile = 0; tileRow < grid.rows; tileRow++) {
    for (let tileColumn = 0; tileColumn < grid.columns; tileColumn++, tile++) {
      const x0 = Math.round(grid.xs[tileColumn] / CELL);
      const x1 = Math.min(columns, Math.round(grid.xs[tileColumn + 1] / CELL));
      const y0 = Math.round(grid.ys[tileRow] / CELL);
      const y1 = Math.min(rows, Math.round(grid.ys[tileRow + 1] / CELL));
      let sum = 0;
      for (let y = y0; y < y1; y++) {
        for (let x = x0; x < x1; x++) sum += cells[CELL_FIELDS * (y * columns + x) + field];
      }
      means[tile] = sum / Math.max(1, (x1 - x0) * (y1 - y0));
    }
  }
  return means;
}
