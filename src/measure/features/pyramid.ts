import type { GreyImage } from "../../types.js";
import { blur, gaussianHalfKernel } from "./blur.js";

/** Grey values 0 to 1, row-major. */
export interface FloatImage {
  readonly width: number;
  readonly height: number;
  readonly data: Float32Array;
}

/** One halving of the picture: Gaussians of rising sigma. */
export interface Octave {
  readonly width: number;
  readonly height: number;
  /** One pixel of this octave in pixels of the pyramid's base: 1, 2, 4... */
  readonly step: number;
  /** Gaussian k has sigma BASE_SIGMA * 2 ^ ((firstLevel + k) / LEVELS) px of this octave. */
  readonly gaussians: readonly Float32Array[];
  readonly firstLevel: number;
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
 * Gaussian pyramid of a picture. Each octave goes up to level LEVELS + 1, and begins with the last two levels of the
 * octave before, halved: so the widest, dearest blurs are made on a quarter of the pixels.
 *
 * @param factor how much the picture was enlarged: its own blur grew with it
 * @see Lowe 2004, Distinctive Image Features from Scale-Invariant Keypoints, section 3; differs in where octaves change
 */
export function buildPyramid(base: FloatImage, factor: number): Octave[] {
  const octaves: Octave[] = [];
  let { width, height } = base;
  let step = 1;
  let sharpest: Float32Array[] = [blurFrom(base.data, width, height, CAMERA_SIGMA * factor, BASE_SIGMA)];
  while (Math.min(width, height) >= SMALLEST_SIDE_PX) {
    const gaussians = sharpest;
    const firstLevel = 1 - gaussians.length;
    for (let level = 1; level <= LEVELS + 1; level++) {
      const from = gaussians[gaussians.length - 1];
      gaussians.push(blurFrom(from, width, height, sigmaOf(level - 1), sigmaOf(level)));
    }
    octaves.push({ width, height, step, gaussians, firstLevel });
    const nextOf = (level: number) => halve(gaussians[level - firstLevel], width, height);
    sharpest = [nextOf(LEVELS - 1), nextOf(LEVELS)];
    width >>= 1;
    height >>= 1;
    step *= 2;
  }
  return octaves;
}

function sigmaOf(level: number): number {
  return BASE_SIGMA * 2 ** (level / LEVELS);
}

/** An image of blur `sigma` brought to blur `wanted`; itself where it is as soft already. */
function blurFrom(
  source: Float32Array,
  width: number,
  height: number,
  sigma: number,
  wanted: number,
): Float32Array {
  const more = wanted * wanted - sigma * sigma;
  if (more < 1e-6) return source;
  const target = new Float32Array(width * height);
  blur(source, target, width, height, gaussianHalfKernel(Math.sqrt(more)));
  return target;
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
