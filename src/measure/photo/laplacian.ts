import type { GreyImage } from "../../types.js";
import { type TileGrid, tileGrid } from "./tiles.js";

/** Sums of the 4-neighbour Laplacian and of the noise operator, whole frame and per tile. */
export interface LaplacianSums {
  /** Variance of the Laplacian over the whole frame, grey levels squared. */
  readonly variance: number;
  /** The same over each tile, row-major. */
  readonly tileVariance: Float64Array;
  /** Noise standard deviation of each tile, grey levels; see noiseOf. */
  readonly tileNoise: Float64Array;
}

/**
 * Variance of the 4-neighbour Laplacian [0 1 0; 1 -4 1; 0 1 0] (higher is sharper, or busier; flat: 0), and in
 * the same pass Immerkaer's noise operator. The frame's edge is mirrored without repeating the edge pixel,
 * as the general-purpose vision libraries do; the noise operator leaves the edge out, as published.
 *
 * @param image at least 3 x 3
 * @throws RangeError if the image is smaller
 * @see Pech-Pacheco et al. 2000, "Diatom autofocusing in brightfield microscopy" (variance of the Laplacian)
 * @see Immerkaer 1996, "Fast noise variance estimation", CVIU 64:300: kernel [1 -2 1; -2 4 -2; 1 -2 1],
 *   sigma = sqrt(pi / 2) / 6 * mean |I * N|. It reads texture as noise.
 */
export function measureLaplacian(
  image: GreyImage,
  grid: TileGrid = tileGrid(image.width, image.height),
): LaplacianSums {
  const { width, height } = image;
  if (width < 3 || height < 3) {
    throw new RangeError(`expected an image of at least 3 x 3 px, found ${width} x ${height}`);
  }
  const tiles = grid.columns * grid.rows;
  const tileVariance = new Float64Array(tiles);
  const tileNoise = new Float64Array(tiles);
  const stretch = new Int32Array(3);
  let sum = 0;
  let sumOfSquares = 0;
  for (let row = 0, tile = 0; row < grid.rows; row++) {
    for (let column = 0; column < grid.columns; column++, tile++) {
      const x0 = grid.xs[column];
      const x1 = grid.xs[column + 1];
      const y0 = grid.ys[row];
      const y1 = grid.ys[row + 1];
      let s = 0;
      let ss = 0;
      let noise = 0;
      for (let y = y0; y < y1; y++) {
        const inner = y > 0 && y < height - 1;
        for (let from = x0; from < x1; from += STRETCH) {
          sumStretch(image, y, from, Math.min(x1, from + STRETCH), stretch);
          s += stretch[0];
          ss += stretch[1];
          if (inner) noise += stretch[2];
        }
      }
      sum += s;
      sumOfSquares += ss;
      const count = (x1 - x0) * (y1 - y0);
      tileVariance[tile] = variance(s, ss, count);
      tileNoise[tile] = noiseOf(noise, innerCount(x0, x1, width) * innerCount(y0, y1, height));
    }
  }
  return { variance: variance(sum, sumOfSquares, width * height), tileVariance, tileNoise };
}

/** Pixels summed in 32 bits at a time: a squared Laplacian is at most (4 x 255)^2, and 1024 of them fit in 31. */
const STRETCH = 1024;

/**
 * Sums over [from, to) of row y: the Laplacian, its square, and the size of the noise operator (without the first
 * and last column). With p the sum of the pixels above and below, h the pixel and q = p - 2 h, a column each, the
 * Laplacian is q + left h - 2 h + right h and the operator left q - 2 q + right q: three reads a pixel.
 */
function sumStretch(image: GreyImage, y: number, from: number, to: number, out: Int32Array): void {
  const { width, height, data } = image;
  const up = (y === 0 ? 1 : y - 1) * width;
  const here = y * width;
  const down = (y === height - 1 ? height - 2 : y + 1) * width;
  const before = from === 0 ? 1 : from - 1;
  let left = data[here + before];
  let leftQ = data[up + before] + data[down + before] - 2 * left;
  let mid = data[here + from];
  let midQ = data[up + from] + data[down + from] - 2 * mid;
  let sum = 0;
  let squares = 0;
  let noise = 0;
  // The last column of the frame has no right neighbour: it comes after the loop.
  const end = to === width ? to - 1 : to;
  for (let x = from + 1; x <= end; x++) {
    const right = data[here + x];
    const rightQ = data[up + x] + data[down + x] - 2 * right;
    const laplacian = midQ + left + right - 2 * mid;
    sum = (sum + laplacian) | 0;
    squares = (squares + Math.imul(laplacian, laplacian)) | 0;
    const operator = leftQ + rightQ - 2 * midQ;
    // |operator| without a branch: its sign is a coin toss, which no processor guesses.
    const sign = operator >> 31;
    noise = (noise + ((operator ^ sign) - sign)) | 0;
    left = mid;
    leftQ = midQ;
    mid = right;
    midQ = rightQ;
  }
  if (from === 0) {
    // The loop took the mirrored first column into the noise: take it out again.
    const h0 = data[here];
    const q0 = data[up] + data[down] - 2 * h0;
    const q1 = data[up + 1] + data[down + 1] - 2 * data[here + 1];
    noise -= Math.abs(2 * q1 - 2 * q0);
  }
  if (to === width) {
    const laplacian = midQ + 2 * left - 2 * mid;
    sum += laplacian;
    squares += laplacian * laplacian;
  }
  out[0] = sum;
  out[1] = squares;
  out[2] = noise;
}

function variance(sum: number, sumOfSquares: number, count: number): number {
  return count === 0 ? 0 : Math.max(0, sumOfSquares / count - (sum / count) ** 2);
}

function innerCount(from: number, to: number, size: number): number {
  return Math.max(0, Math.min(to, size - 1) - Math.max(from, 1));
}

/** Standard deviation of white noise whose Immerkaer operator sums to `sum` over `count` pixels. */
function noiseOf(sum: number, count: number): number {
  return count === 0 ? 0 : (Math.sqrt(Math.PI / 2) * sum) / (6 * count);
}
