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
  const { width, height, data } = image;
  if (width < 3 || height < 3) {
    throw new RangeError(`expected an image of at least 3 x 3 px, found ${width} x ${height}`);
  }
  const tiles = grid.columns * grid.rows;
  const tileVariance = new Float64Array(tiles);
  const tileNoise = new Float64Array(tiles);
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
        const up = (y === 0 ? 1 : y - 1) * width;
        const here = y * width;
        const down = (y === height - 1 ? height - 2 : y + 1) * width;
        const inner = y > 0 && y < height - 1;
        for (let x = x0; x < x1; x++) {
          const left = x === 0 ? 1 : x - 1;
          const right = x === width - 1 ? width - 2 : x + 1;
          const centre = 4 * data[here + x];
          const cross = data[up + x] + data[down + x] + data[here + left] + data[here + right];
          const laplacian = cross - centre;
          s += laplacian;
          ss += laplacian * laplacian;
          if (inner && left < right) {
            const corners = data[up + left] + data[up + right] + data[down + left] + data[down + right];
            const operator = corners - 2 * cross + centre;
            noise += operator < 0 ? -operator : operator;
          }
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
