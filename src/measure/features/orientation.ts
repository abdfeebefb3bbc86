import type { Arena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
import type { FloatImage } from "./pyramid.js";

/** A second direction is kept at this share of the strongest (Lowe 2004, section 5). */
const SECOND_PEAK = 0.8;
/** Samples lie in a disc of 4.2 sigma around the centre; further out the window leaves 2 %. */
const REACH_SAMPLES = 7;
const SPACING_SIGMAS = 0.6;
/** Window of the histogram, in sigmas (Lowe 2004, section 5). */
const WINDOW_SIGMAS = 1.5;

/** Blocks of four samples: four steps right of the centre, four down, four weights; 0 where there is no sample. */
const BLOCK = 4;
const WINDOW = windowOfDisc();
const BLOCKS = WINDOW.length / (3 * BLOCK);

function windowOfDisc(): Float32Array {
  const samples: [right: number, down: number, weight: number][] = [];
  for (let v = -REACH_SAMPLES; v <= REACH_SAMPLES; v++) {
    for (let u = -REACH_SAMPLES; u <= REACH_SAMPLES; u++) {
      const distance = Math.hypot(u, v);
      if (distance > REACH_SAMPLES) continue;
      samples.push([u, v, Math.exp(-((distance * SPACING_SIGMAS) ** 2) / (2 * WINDOW_SIGMAS ** 2))]);
    }
  }
  const out = new Float32Array(3 * BLOCK * Math.ceil(samples.length / BLOCK));
  samples.forEach((sample, i) => {
    sample.forEach((value, k) => {
      out[3 * BLOCK * Math.floor(i / BLOCK) + BLOCK * k + (i % BLOCK)] = value;
    });
  });
  return out;
}

/** The table that finding directions reads, in the arena. */
export function directionWindow(arena: Arena): Address {
  return arena.copy(WINDOW);
}

/**
 * Dominant gradient directions around a point, at most two, strongest first: peaks of a histogram of 36 bins over
 * the full turn (Lowe 2004, section 5), smoothed, refined by a parabola.
 *
 * @param image Gaussian level at the blob's scale
 * @param sigma the blob's scale in pixels of `image`
 * @param window see {@link directionWindow}
 * @param out two f32: radians in (-pi, pi], y down: 0 where brightness rises to the right
 * @returns how many directions were found: 0 for a flat image
 */
export function dominantDirections(
  image: FloatImage,
  x: number,
  y: number,
  sigma: number,
  window: Address,
  out: Address,
): number {
  const { at, width, height } = image;
  const spacing = SPACING_SIGMAS * sigma;
  return kernels().dominantDirections(at, width, height, x, y, spacing, window, BLOCKS, SECOND_PEAK, out);
}
