import type { GreyImage } from "../../types.js";
import { blur, gaussianHalfKernel } from "./blur.js";

/** Grey values 0 to 1, row-major. */
export interface FloatImage {
  readonly width: number;
  readonly height: number;
  readonly data: Float32Array;
}

/** One halving of the picture: Gaussians of rising sigma and the differences of neighbours. */
export interface Octave {
  readonly width: number;
  readonly height: number;
  /** One pixel of this octave in pixels of the pyramid's base: 1, 2, 4... */
  readonly step: number;
  /** LEVELS + 3 images, sigma BASE_SIGMA * 2 ^ (level / LEVELS) px of this octave. */
  readonly gaussians: readonly Float32Array[];
}

/** Scales searched in each octave (Lowe 2004, section 3.2: 3 is best). */
export const LEVELS = 3;
/** Blur of the first Gaussian, px (Lowe 2004, section 3.3). */
export const BASE_SIGMA = 1.6;
/** Blur a camera picture is taken to have (Lowe 2004, section 3.3). */
const CAMERA_SIGMA = 0.5;
/** Octaves stop here: less leaves no room for a descriptor, px. */
const SMALLEST_SIDE_PX = 24;

/** 8-bit grey to 0..1, enlarged by `factor` >= 1 (bilinear, pixel centres aligned). */
export function toFloatImage(image: GreyImage, factor: number): FloatImage {
  const { width, height, data } = image;
  if (factor === 1) {
    const same = new Float32Array(width * height);
    for (let i = 0; i < same.length; i++) same[i] = data[i] / 255;
    return { width, height, data: same };
  }
  const outWidth = Math.round(width * factor);
  const outHeight = Math.round(height * factor);
  const out = new Float32Array(outWidth * outHeight);
  const left = new Int32Array(outWidth);
  const share = new Float32Array(outWidth);
  for (let x = 0; x < outWidth; x++) {
    const at = clamp(((x + 0.5) * width) / outWidth - 0.5, 0, width - 1);
    left[x] = Math.min(Math.floor(at), Math.max(0, width - 2));
    share[x] = at - left[x];
  }
  const right = width > 1 ? 1 : 0;
  for (let y = 0; y < outHeight; y++) {
    const at = clamp(((y + 0.5) * height) / outHeight - 0.5, 0, height - 1);
    const top = Math.min(Math.floor(at), Math.max(0, height - 2));
    const v = at - top;
    const row = top * width;
    const next = row + (height > 1 ? width : 0);
    for (let x = 0; x < outWidth; x++) {
      const i = left[x];
      const u = share[x];
      const upper = data[row + i] + u * (data[row + i + right] - data[row + i]);
      const lower = data[next + i] + u * (data[next + i + right] - data[next + i]);
      out[y * outWidth + x] = (upper + v * (lower - upper)) / 255;
    }
  }
  return { width: outWidth, height: outHeight, data: out };
}

/**
 * Gaussian pyramid of a picture.
 *
 * @param factor how much the picture was enlarged: its own blur grew with it
 * @see Lowe 2004, Distinctive Image Features from Scale-Invariant Keypoints, section 3
 */
export function buildPyramid(base: FloatImage, factor: number): Octave[] {
  const octaves: Octave[] = [];
  let { width, height } = base;
  let source = base.data;
  let step = 1;
  let sigma = CAMERA_SIGMA * factor;
  while (Math.min(width, height) >= SMALLEST_SIDE_PX) {
    const gaussians: Float32Array[] = [];
    for (let level = 0; level < LEVELS + 3; level++) {
      const wanted = BASE_SIGMA * 2 ** (level / LEVELS);
      const more = wanted * wanted - sigma * sigma;
      if (more < 1e-6) {
        gaussians.push(source);
      } else {
        const target = new Float32Array(width * height);
        blur(source, target, width, height, gaussianHalfKernel(Math.sqrt(more)));
        gaussians.push(target);
        source = target;
      }
      sigma = wanted;
    }
    octaves.push({ width, height, step, gaussians });
    // The Gaussian at twice the base sigma, halved, is the next octave's first.
    const halved = halve(gaussians[LEVELS], width, height);
    source = halved;
    width >>= 1;
    height >>= 1;
    step *= 2;
    sigma = BASE_SIGMA;
  }
  return octaves;
}

/** Every other pixel of every other row. */
function halve(source: Float32Array, width: number, height: number): Float32Array {
  const halfWidth = width >> 1;
  const halfHeight = height >> 1;
  const out = new Float32Array(halfWidth * halfHeight);
  for (let y = 0; y < halfHeight; y++) {
    const from = 2 * y * width;
    const to = y * halfWidth;
    for (let x = 0; x < halfWidth; x++) out[to + x] = source[from + 2 * x];
  }
  return out;
}

function clamp(value: number, low: number, high: number): number {
  return value < low ? low : value > high ? high : value;
}
