import type { Arena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
import { EdgeSweep } from "./edges.js";

/** Cell size of the band energies and fields a cell; see surface.ts. */
const CELL = 4;
const CELL_FIELDS = 6;

/** A Gaussian narrower than this has almost nothing beside its centre tap; smaller pictures keep these bands, px. */
const NARROWEST_SIGMA = 0.6;

/** Energy that white noise of variance 1 brings into either band. */
export interface NoiseGain {
  readonly fine: number;
  readonly mid: number;
}

/**
 * Energy of the fine (finer than sigma 1) and the mid detail (between sigma 1 and 3) of a picture, in cells of
 * 4 x 4 px: the mean squared band of each cell, grey levels squared; flat: 0. Blur takes the fine band first, so
 * fine over mid falls with blur whatever the contrast of the texture. Sigmas are stated at a long edge of
 * 1920 px; `scale` is the picture's long edge over 1920.
 *
 * The mid band is taken at half size, where the picture has already lost what half size cannot hold.
 *
 * @param luma row-major grey levels in the arena, f32
 * @param makeRow writes a row of luma; called once a row from the top, just ahead of where rows are read: they are still
 *   in the core's cache then
 * @param scale 0 < scale <= 1; below NARROWEST_SIGMA the bands no longer shrink with the picture
 * @param cells six f32 a cell in the arena, of which the last two are added to: fine, mid
 * @returns widths of the picture's edges by direction, which the same half-size picture gives: see {@link EdgeSweep}
 */
export function addBands(
  luma: Address,
  makeRow: (y: number) => void,
  width: number,
  height: number,
  scale: number,
  cells: Address,
  arena: Arena,
): (number | null)[] {
  const { blurRow, fineRow, halfRow, midRow } = kernels();
  const columns = Math.floor(width / CELL);
  const cellRows = Math.floor(height / CELL);
  const cellRow = (row: number) => cells + 4 * CELL_FIELDS * columns * row;
  const { narrow, wide } = filtersOf(scale);
  const narrowTaps = arena.copy(Float32Array.from(narrow));
  const wideTaps = arena.copy(Float32Array.from(wide));
  const line = arena.take(4 * (width + 2 * Math.max(narrow.length, wide.length)));
  const halfWidth = width >> 1;
  const halfHeight = height >> 1;
  const half = arena.take(4 * halfWidth * halfHeight);
  const soft = [arena.take(4 * width), arena.take(4 * width)];
  for (let y = 0, made = 0; y < height; y++) {
    for (; made < Math.min(height, y + narrow.length); made++) makeRow(made);
    blurRow(luma, width, height, y, narrowTaps, narrow.length - 1, line, soft[y & 1]);
    const cell = Math.floor(y / CELL);
    if (cell < cellRows) fineRow(luma + 4 * y * width, soft[y & 1], columns, cellRow(cell));
    if (y & 1) halfRow(soft[0], soft[1], halfWidth, half + 4 * (y >> 1) * halfWidth);
  }
  const [softer] = soft;
  const sigma = narrowSigma(scale);
  const taps = gaussian((Math.sqrt(3) * sigma) / 2);
  const edges = new EdgeSweep({ width: halfWidth, height: halfHeight, sigma, scale, taps }, arena);
  for (let y = 0; y < halfHeight; y++) {
    edges.row(half, y);
    if (y >= 2 * cellRows) continue;
    blurRow(half, halfWidth, halfHeight, y, wideTaps, wide.length - 1, line, softer);
    midRow(half + 4 * y * halfWidth, softer, columns, cellRow(y >> 1));
  }
  return edges.widths();
}

/** Sigma of the filter between fine and mid detail, px of a picture of that scale. */
function narrowSigma(scale: number): number {
  return Math.max(scale, NARROWEST_SIGMA);
}

/** The filters between the bands, one-sided taps: narrow at full size, wide at half size. */
function filtersOf(scale: number): { narrow: Float64Array; wide: Float64Array } {
  const sigma = narrowSigma(scale);
  // sigma 1 to sigma 3 at full size is a blur of sqrt(9 - 1) more, half that at half size.
  return { narrow: gaussian(sigma), wide: gaussian((Math.sqrt(8) * sigma) / 2) };
}

/** One-sided taps (centre first) of a Gaussian, cut at 3 sigma, summing to 1 over both sides. */
function gaussian(sigma: number): Float64Array {
  const radius = Math.max(1, Math.ceil(3 * sigma));
  const taps = Float64Array.from({ length: radius + 1 }, (_, i) => Math.exp(-(i * i) / (2 * sigma * sigma)));
  const sum = taps.reduce((total, tap, i) => total + (i === 0 ? tap : 2 * tap), 0);
  return taps.map((tap) => tap / sum);
}

/** Energy of a unit impulse after the filters of {@link addBands}: by Parseval, the gain for white noise. */
export function bandNoiseGain(scale: number): NoiseGain {
  const { narrow, wide } = filtersOf(scale);
  const both = (taps: Float64Array) => [...taps.slice(1).reverse(), ...taps];
  const n = both(narrow);
  // fine = impulse - g x g: 1 - 2 g0^2 + (sum g^2)^2.
  const power = n.reduce((sum, tap) => sum + tap * tap, 0);
  const fine = 1 - 2 * narrow[0] ** 2 + power ** 2;
  // Noise at half size: blur by g, then the mean of two, at every second place. Autocorrelation of that line
  // kernel at even lags gives what the wide filter sees.
  const box = convolve(n, [0.5, 0.5]);
  const lag = (k: number) => box.reduce((sum, tap, i) => sum + tap * (box[i + 2 * k] ?? 0), 0);
  const w = both(wide);
  const radius = wide.length - 1;
  // Energy of (delta - w x w) applied to separable noise with line autocorrelation r: r0^2 - 2 c^2 + e^2.
  const r0 = lag(0);
  let c = 0;
  let e = 0;
  for (let i = 0; i < w.length; i++) {
    c += w[i] * lag(Math.abs(i - radius));
    for (let j = 0; j < w.length; j++) e += w[i] * w[j] * lag(Math.abs(i - j));
  }
  return { fine, mid: r0 * r0 - 2 * c * c + e * e };
}

function convolve(a: readonly number[], b: readonly number[]): number[] {
  const out = new Array<number>(a.length + b.length - 1).fill(0);
  for (let i = 0; i < a.length; i++) for (let j = 0; j < b.length; j++) out[i + j] += a[i] * b[j];
  return out;
}
