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
  fillLuma(data, luma);
  for (let row = 0; row < rows; row++) {
    for (let y = CELL * row; y < CELL * (row + 1); y++) {
      addToCells(data, 3 * y * width, cells, CELL_FIELDS * row * columns, columns);
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

function fillLuma(data: Uint8Array, luma: Float32Array): void {
  for (let i = 0, from = 0; i < luma.length; i++, from += 3) {
    luma[i] = 0.299 * data[from] + 0.587 * data[from + 1] + 0.114 * data[from + 2];
  }
}

/** A cell's share of one pixel: a power of two, so that multiplying by it loses nothing. */
const SHARE = 1 / (CELL * CELL);
const SHARE_OF_CODE = LINEAR_OF_CODE.map((linear) => SHARE * linear);

/** Adds one row of pixels, from data[at], to a row of cells, from cells[to]. */
function addToCells(data: Uint8Array, at: number, cells: Float32Array, to: number, columns: number): void {
  for (let column = 0, i = at, cell = to; column < columns; column++, cell += CELL_FIELDS) {
    let red = cells[cell];
    let green = cells[cell + 1];
    let blue = cells[cell + 2];
    let saturated = 0;
    for (let dx = 0; dx < CELL; dx++, i += 3) {
      const r = data[i];
      const g = data[i + 1];
      const b = data[i + 2];
      // Sums in single precision: what the cells hold.
      red = Math.fround(red + SHARE_OF_CODE[r]);
      green = Math.fround(green + SHARE_OF_CODE[g]);
      blue = Math.fround(blue + SHARE_OF_CODE[b]);
      const clipped = ((CLIPPED_CODE - 1 - r) | (CLIPPED_CODE - 1 - g) | (CLIPPED_CODE - 1 - b)) < 0;
      if (clipped || (r <= BLOCKED_CODE && g <= BLOCKED_CODE && b <= BLOCKED_CODE)) saturated++;
    }
    cells[cell] = red;
    cells[cell + 1] = green;
    cells[cell + 2] = blue;
    cells[cell + 3] += SHARE * saturated;
  }
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
