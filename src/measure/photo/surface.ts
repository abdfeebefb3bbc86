import { type Arena, withArena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
import { addBands, bandNoiseGain, type NoiseGain } from "./bands.js";
import type { TileGrid } from "./tiles.js";
import { BLOCKED_CODE, CLIPPED_CODE, LINEAR_OF_CODE, LUMINANCE_WEIGHTS } from "./tone.js";

/** Long edge of the picture that bands and colours are measured on, px; faults are stated at this size. */
export const SURFACE_LONG_EDGE = 1920;

/** Side of a cell of the surface grid, px of the surface picture. */
export const CELL = 4;

/** Numbers a cell: linear red, green, blue (0 to 1), saturated share, fine and mid band energy. */
export const CELL_FIELDS = 6;

const CELL_BYTES = 4 * CELL_FIELDS;

/** What the surface looks like in cells of CELL x CELL px of the upright surface picture, row-major. */
export interface Surface {
  readonly columns: number;
  readonly rows: number;
  /** CELL_FIELDS f32 a cell, in the arena. Band energies are in grey levels squared, noise still in. */
  readonly cells: Address;
  /** Where {@link sumCells} leaves its sums, in the arena. */
  readonly sums: Float64Array;
  /** Size of the surface picture, px. */
  readonly width: number;
  readonly height: number;
  /** 8-bit luma of the surface picture, rounded, in the arena. */
  readonly luma: Uint8Array;
  /** What white noise of variance 1 in the luma adds to the energies. */
  readonly noiseGain: NoiseGain;
}

/** A code's linear light over the pixels of a cell: a power of two, so that the division loses nothing. */
const SHARE_OF_CODE = Float32Array.from(LINEAR_OF_CODE, (linear) => linear / (CELL * CELL));

/** Arena for a surface. At least 2 CELL px on either side, at most SURFACE_LONG_EDGE. */
export function takeSurface(width: number, height: number, arena: Arena): Surface {
  const columns = Math.floor(width / CELL);
  const rows = Math.floor(height / CELL);
  return {
    columns,
    rows,
    cells: arena.take(CELL_BYTES * columns * rows),
    sums: arena.f64(arena.take(8 * CELL_FIELDS), CELL_FIELDS),
    width,
    height,
    luma: arena.u8(arena.take(width * height), width * height),
    noiseGain: bandNoiseGain(scaleOf(width, height)),
  };
}

/**
 * @param picture interleaved upright RGB in the arena, of the surface's size
 * @returns widths of its edges by direction: see measure/photo/edges.ts
 */
export function fillSurface(surface: Surface, picture: Address): (number | null)[] {
  const { fillCellRow, exactLumaRow } = kernels();
  const { width, height, columns, rows, cells } = surface;
  const luma = surface.luma.byteOffset;
  const rowBytes = 3 * width;
  return withArena((arena) => {
    const exactLuma = arena.take(4 * width * height);
    const shares = arena.copy(SHARE_OF_CODE);
    const makeRow = (y: number): void => {
      const from = picture + y * rowBytes;
      exactLumaRow(from, luma + y * width, exactLuma + 4 * y * width, width);
      const row = y / CELL;
      if (!Number.isInteger(row) || row >= rows) return;
      const to = cells + CELL_BYTES * columns * row;
      fillCellRow(from, rowBytes, columns, shares, CLIPPED_CODE, BLOCKED_CODE, to);
    };
    return addBands(exactLuma, makeRow, width, height, scaleOf(width, height), cells, arena);
  });
}

/** A block of cells: [x0, x1) x [y0, y1). */
export interface CellBlock {
  readonly x0: number;
  readonly x1: number;
  readonly y0: number;
  readonly y1: number;
}

/** Sums of each field over a block of cells. They stand until the next call. */
export function sumCells({ cells, columns, sums }: Surface, { x0, x1, y0, y1 }: CellBlock): Float64Array {
  const first = cells + CELL_BYTES * (y0 * columns + x0);
  kernels().sumCells(first, x1 - x0, y1 - y0, CELL_BYTES * columns, sums.byteOffset);
  return sums;
}

/** Linear luminance of the brightest of a block of cells. */
export function brightestCell({ cells, columns }: Surface, { x0, x1, y0, y1 }: CellBlock): number {
  const first = cells + CELL_BYTES * (y0 * columns + x0);
  return kernels().brightestCell(first, x1 - x0, y1 - y0, CELL_BYTES * columns, ...LUMINANCE_WEIGHTS);
}

function scaleOf(width: number, height: number): number {
  return Math.max(width, height) / SURFACE_LONG_EDGE;
}

/** Means of the cells under each tile of a grid laid over the surface picture: for each field one a tile, row-major. */
export function tileMeans(surface: Surface, grid: TileGrid): readonly Float64Array[] {
  const { columns, rows } = surface;
  const tiles = grid.columns * grid.rows;
  const means = Array.from({ length: CELL_FIELDS }, () => new Float64Array(tiles));
  for (let tileRow = 0, tile = 0; tileRow < grid.rows; tileRow++) {
    for (let tileColumn = 0; tileColumn < grid.columns; tileColumn++, tile++) {
      const x0 = Math.round(grid.xs[tileColumn] / CELL);
      const x1 = Math.min(columns, Math.round(grid.xs[tileColumn + 1] / CELL));
      const y0 = Math.round(grid.ys[tileRow] / CELL);
      const y1 = Math.min(rows, Math.round(grid.ys[tileRow + 1] / CELL));
      const sums = sumCells(surface, { x0, x1, y0, y1 });
      const count = Math.max(1, (x1 - x0) * (y1 - y0));
      for (let field = 0; field < CELL_FIELDS; field++) means[field][tile] = sums[field] / count;
    }
  }
  return means;
}
