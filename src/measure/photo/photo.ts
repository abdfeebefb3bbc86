import { type Arena, withArena } from "../../kernels/arena.js";
import type { Cells, EdgeWidths, Features, PixelMeasures, TileMeasures } from "../../types/photo.js";
import type { GreyImage, RgbImage } from "../../types/pixels.js";
import type { Measure, Unit } from "../../types/units.js";
import { extractFeatures } from "../features/extract.js";
import { fillCells } from "./cells.js";
import { measureLaplacian } from "./laplacian.js";
import { quietestNoise } from "./noise.js";
import { fillPatches } from "./patches.js";
import { shrink, shrunkSize } from "./resample.js";
import { type Scan, scanPixels } from "./scan.js";
import { bandRatios } from "./structure.js";
import { fillSurface, SURFACE_LONG_EDGE, type Surface, sumCells, takeSurface, tileMeans } from "./surface.js";
import { type TileGrid, tileGrid } from "./tiles.js";
import { LUMINANCE_WEIGHTS } from "./tone.js";
import { turnUpright, uprightIndexes, uprightSize } from "./upright.js";

/** Long edge of the working picture that keypoints are found in, px. */
export const WORKING_LONG_EDGE = 1200;

/** Shortest side that can be measured, px: two tiles of a few surface cells. */
export const SHORTEST_SIDE = 64;

/** Variance that rounding each channel to 8 bits leaves in the luma, grey levels squared: sum of w^2 / 12. */
const ROUNDING_VARIANCE = (0.299 ** 2 + 0.587 ** 2 + 0.114 ** 2) / 12;

export interface PhotoMeasurement {
  /** Size of the upright picture, px. */
  readonly widthPx: number;
  readonly heightPx: number;
  readonly measures: PixelMeasures;
  readonly edgeWidthsPx: EdgeWidths;
  readonly tiles: TileMeasures;
  readonly features: Features;
  readonly cells: Cells;
}

/**
 * All that is measured on one photo. The full-size pixels are walked once; the rest comes from the small upright
 * picture. Positions are given in the upright frame, and the eight
 * orientations of one photo give equal measures.
 *
 * @param rgb the stored picture, at least SHORTEST_SIDE px on either side
 * @param orientation EXIF orientation, 1 to 8; others count as 1
 * @throws RangeError if the picture is smaller
 */
export function measurePhoto(rgb: RgbImage, orientation: number): PhotoMeasurement {
  if (Math.min(rgb.width, rgb.height) < SHORTEST_SIDE) {
    throw new RangeError(
      `expected at least ${SHORTEST_SIDE} px on either side, found ${rgb.width} x ${rgb.height}`,
    );
  }
  return withArena((arena) => measureIn(arena, rgb, orientation));
}

function measureIn(arena: Arena, rgb: RgbImage, orientation: number): PhotoMeasurement {
  const [widthPx, heightPx] = uprightSize(rgb.width, rgb.height, orientation);
  const stored = tileGrid(rgb.width, rgb.height);
  const smallSize = shrunkSize(rgb.width, rgb.height, SURFACE_LONG_EDGE);
  const surface = takeSurface(...uprightSize(...smallSize, orientation), arena);
  const scan = scanTo(surface, rgb, stored, orientation);
  const { laplacian, edgeWidthsPx } = scan;
  const luma: GreyImage = { width: surface.width, height: surface.height, data: surface.luma };
  const grid = tileGrid(surface.width, surface.height);
  const [, , , saturated, fine, mid] = tileMeans(surface, grid);
  const noiseVariance = surfaceNoise(luma, grid, saturated) ** 2 + ROUNDING_VARIANCE;
  const features = extractFeatures(shrink(luma, 1, WORKING_LONG_EDGE));
  fillPatches(features, surface, noiseVariance);

  const bands = bandRatios(fine, mid, surface.noiseGain, noiseVariance);
  const tilePixels = pixelsPerTile(stored);
  const toUpright = uprightIndexes(stored.columns, stored.rows, orientation);
  const spoilt = Float64Array.from(tilePixels, (n, i) => (scan.clippedAny[i] + scan.blocked[i]) / n);
  const noise = quietestNoise(laplacian.tileNoise, spoilt);
  const pixels = rgb.width * rgb.height;
  const colour = meanColour(surface);
  return {
    widthPx,
    heightPx,
    measures: {
      laplacianVariance: of(laplacian.variance, "grey levels squared"),
      ...(bands.whole === undefined ? {} : { bandRatio: of(bands.whole, "times") }),
      ...(bands.sharpest === undefined ? {} : { sharpestBandRatio: of(bands.sharpest, "times") }),
      clippedAnyRatio: of(total(scan.clippedAny) / pixels, "ratio"),
      clippedAllRatio: of(total(scan.clippedAll) / pixels, "ratio"),
      clippedCentreRatio: of(centreRatio(scan.clippedTwo, stored, tilePixels), "ratio"),
      blockedRatio: of(total(scan.blocked) / pixels, "ratio"),
      meanLuminanceStops: of(Math.log2(Math.max(luminance(colour), DARKEST_LUMINANCE)), "stops"),
      redGreenStops: of(ratioStops(colour[0], colour[1]), "stops"),
      blueGreenStops: of(ratioStops(colour[2], colour[1]), "stops"),
      ...(noise === undefined ? {} : { noiseSigma: of(noise, "grey levels") }),
      keypoints: of(features.count, "keypoints"),
    },
    edgeWidthsPx,
    tiles: {
      columns: grid.columns,
      rows: grid.rows,
      laplacianVariance: turned(laplacian.tileVariance, toUpright),
      bandRatio: bands.tiles,
      clippedAnyRatio: turned(
        Float64Array.from(tilePixels, (n, i) => scan.clippedAny[i] / n),
        toUpright,
      ),
      noiseSigma: turned(laplacian.tileNoise, toUpright),
    },
    features,
    cells: fillCells(surface, noiseVariance),
  };
}

/** Linear luminance of code value 1 in an sRGB picture: nothing darker can be told from black. */
const DARKEST_LUMINANCE = 1 / 255 / 12.92;

function of(value: number, unit: Unit): Measure {
  return { value, unit };
}

function total(counts: Uint32Array): number {
  return counts.reduce((sum, count) => sum + count, 0);
}

function pixelsPerTile(grid: TileGrid): Float64Array {
  const out = new Float64Array(grid.columns * grid.rows);
  for (let row = 0, i = 0; row < grid.rows; row++) {
    for (let column = 0; column < grid.columns; column++, i++) {
      out[i] = (grid.xs[column + 1] - grid.xs[column]) * (grid.ys[row + 1] - grid.ys[row]);
    }
  }
  return out;
}

/** Share of the counted pixels in the middle half of the columns and rows, where the subject is. */
function centreRatio(counts: Uint32Array, grid: TileGrid, pixels: Float64Array): number {
  let counted = 0;
  let all = 0;
  for (let row = 0, i = 0; row < grid.rows; row++) {
    for (let column = 0; column < grid.columns; column++, i++) {
      const x = (column + 0.5) / grid.columns;
      const y = (row + 0.5) / grid.rows;
      if (x < 0.25 || x > 0.75 || y < 0.25 || y > 0.75) continue;
      counted += counts[i];
      all += pixels[i];
    }
  }
  return counted / all;
}

function turned(values: Float64Array, toUpright: Int32Array): number[] {
  const out = new Array<number>(values.length);
  for (let i = 0; i < values.length; i++) out[toUpright[i]] = values[i];
  return out;
}

/** The scan of the full-size pixels, and the widths of the small picture's edges: see edges.ts. */
interface PhotoScan extends Scan {
  readonly edgeWidthsPx: readonly (number | null)[];
}

/** Walks the full-size pixels, and fills the surface with the small picture that comes of it, turned upright. */
function scanTo(surface: Surface, rgb: RgbImage, grid: TileGrid, orientation: number): PhotoScan {
  return withArena((arena) => {
    const [width, height] = shrunkSize(rgb.width, rgb.height, SURFACE_LONG_EDGE);
    const small = arena.take(3 * width * height);
    const scan = scanPixels(rgb, grid, { width, height, at: small }, arena);
    const stored: RgbImage = { width, height, data: arena.u8(small, 3 * width * height) };
    const upright = turnUpright(stored, orientation);
    if (upright !== stored) stored.data.set(upright.data);
    return { ...scan, edgeWidthsPx: fillSurface(surface, small) };
  });
}

/** Noise of the surface picture, grey levels; 0 where every tile is clipped or blocked. */
function surfaceNoise(luma: GreyImage, grid: TileGrid, saturated: Float64Array): number {
  return quietestNoise(measureLaplacian(luma, grid).tileNoise, saturated) ?? 0;
}

function meanColour(surface: Surface): [number, number, number] {
  const { columns, rows } = surface;
  const [red, green, blue] = sumCells(surface, { x0: 0, x1: columns, y0: 0, y1: rows });
  const count = columns * rows;
  return [red / count, green / count, blue / count];
}

function luminance(colour: readonly [number, number, number]): number {
  return (
    LUMINANCE_WEIGHTS[0] * colour[0] + LUMINANCE_WEIGHTS[1] * colour[1] + LUMINANCE_WEIGHTS[2] * colour[2]
  );
}

function ratioStops(a: number, b: number): number {
  return Math.log2(Math.max(a, DARKEST_LUMINANCE) / Math.max(b, DARKEST_LUMINANCE));
}
