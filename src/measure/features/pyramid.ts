import type { Arena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
import type { GreyImage } from "../../types/pixels.js";
import { gaussianHalfKernel } from "./blur.js";

/** Grey values 0 to 1 in the arena, f32, row-major. */
export interface FloatImage {
  readonly width: number;
  readonly height: number;
  readonly at: Address;
}

/** One halving of the picture: Gaussians of rising sigma, in the arena, f32. */
export interface Octave {
  readonly width: number;
  readonly height: number;
  /** One pixel of this octave in pixels of the pyramid's base: 1, 2, 4... */
  readonly step: number;
  /** Gaussian k has sigma BASE_SIGMA * 2 ^ ((firstLevel + k) / LEVELS) px of this octave; up to level LEVELS + 1. */
  readonly gaussians: readonly Address[];
  readonly firstLevel: number;
}

/** Reads an octave while it is made. */
export interface OctaveReader {
  /** Called for each row from the top, when all Gaussians are there down to the next row, and still in the cache. */
  row(y: number): void;
  /** All is there. */
  end(): void;
}

/** Scales searched in each octave (Lowe 2004, section 3.2: 3 is best). */
export const LEVELS = 3;
/** Blur of the first Gaussian, px (Lowe 2004, section 3.3). */
export const BASE_SIGMA = 1.6;
/** Blur a camera picture is taken to have (Lowe 2004, section 3.3). */
const CAMERA_SIGMA = 0.5;
/** Octaves stop here: less leaves no space for a descriptor, px. */
const SMALLEST_SIDE_PX = 24;
/** Weights on one side of the widest blur, at most. */
const WIDEST_RADIUS = 16;

/** 8-bit grey to 0..1, enlarged by `factor` >= 1 (bilinear, pixel centres aligned). */
export function toFloatImage(image: GreyImage, factor: number, arena: Arena): FloatImage {
  const { width, height, data } = image;
  if (factor === 1) {
    const at = arena.take(4 * width * height);
    kernels().greyRow(arena.copy(data), width * height, at);
    return { width, height, at };
  }
  const outWidth = Math.round(width * factor);
  const outHeight = Math.round(height * factor);
  const at = arena.take(4 * outWidth * outHeight);
  const out = arena.f32(at, outWidth * outHeight);
  const left = new Int32Array(outWidth);
  const share = new Float32Array(outWidth);
  for (let x = 0; x < outWidth; x++) {
    const from = clamp(((x + 0.5) * width) / outWidth - 0.5, 0, width - 1);
    left[x] = Math.min(Math.floor(from), Math.max(0, width - 2));
    share[x] = from - left[x];
  }
  const right = width > 1 ? 1 : 0;
  for (let y = 0; y < outHeight; y++) {
    const from = clamp(((y + 0.5) * height) / outHeight - 0.5, 0, height - 1);
    const top = Math.min(Math.floor(from), Math.max(0, height - 2));
    const v = from - top;
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
  return { width: outWidth, height: outHeight, at };
}

/**
 * Gaussian pyramid of a picture, octave by octave. Each goes up to level LEVELS + 1, and begins with the last two
 * levels of the octave before, halved: so the widest, dearest blurs are made on a quarter of the pixels.
 *
 * @param base its memory is used for something else once it is blurred
 * @param factor how much the picture was enlarged: its own blur grew with it
 * @param read begins to read an octave, the index-th, before its pixels are made
 * @see Lowe 2004, Distinctive Image Features from Scale-Invariant Keypoints, section 3; differs in where octaves change
 */
export function buildPyramid(
  base: FloatImage,
  factor: number,
  arena: Arena,
  read: (octave: Octave, index: number) => OctaveReader,
): Octave[] {
  const octaves: Octave[] = [];
  let { width, height } = base;
  const level = () => arena.take(4 * width * height);
  const line = arena.take(4 * (width + 2 * WIDEST_RADIUS));
  let gaussians = [level()];
  let blurs = [blurBetween(base.at, CAMERA_SIGMA * factor, BASE_SIGMA, gaussians[0], arena)];
  for (let step = 1; Math.min(width, height) >= SMALLEST_SIDE_PX; step *= 2) {
    const firstLevel = 1 - gaussians.length;
    for (let k = 1; k <= LEVELS + 1; k++) {
      // The softest comes far enough behind the first blur to take the place of what that reads, row by row.
      const out = step === 1 && k === LEVELS + 1 ? base.at : level();
      blurs.push(blurBetween(gaussians[gaussians.length - 1], sigmaOf(k - 1), sigmaOf(k), out, arena));
      gaussians.push(out);
    }
    const octave: Octave = { width, height, step, gaussians, firstLevel };
    const reader = read(octave, octaves.length);
    runBlurs(blurs, width, height, line, reader);
    reader.end();
    octaves.push(octave);
    blurs = [];
    const last = [LEVELS - 1, LEVELS].map((k) => gaussians[k - firstLevel]);
    const fullWidth = width;
    width >>= 1;
    height >>= 1;
    gaussians = last.map((from) => {
      const out = level();
      for (let y = 0; y < height; y++) {
        kernels().halveRow(from + 8 * y * fullWidth, width, out + 4 * y * width);
      }
      return out;
    });
  }
  return octaves;
}

function sigmaOf(level: number): number {
  return BASE_SIGMA * 2 ** (level / LEVELS);
}

/** One blur of an octave, from one Gaussian to the next; addresses of whole pictures. */
interface Blur {
  readonly source: Address;
  /** See gaussianHalfKernel. */
  readonly weights: Address;
  readonly radius: number;
  readonly out: Address;
}

/** The blur that brings a picture of blur `sigma` to blur `wanted`; it copies one that is as soft already. */
function blurBetween(source: Address, sigma: number, wanted: number, out: Address, arena: Arena): Blur {
  const more = wanted * wanted - sigma * sigma;
  const weights = more < 1e-6 ? Float32Array.of(1) : gaussianHalfKernel(Math.sqrt(more));
  return { source, weights: arena.copy(weights), radius: weights.length - 1, out };
}

/**
 * Runs blurs of which each reads what the one before it writes. They go down the picture together, each as far behind
 * the last as it reads rows ahead: so that these rows are still in the core's cache. One row behind them goes the reader.
 */
function runBlurs(
  blurs: readonly Blur[],
  width: number,
  height: number,
  line: Address,
  reader: OctaveReader,
): void {
  const { blurRow } = kernels();
  const rowBytes = 4 * width;
  let behind = 0;
  const delayed = blurs.map((blur, i) => {
    if (i > 0) behind += blur.radius;
    return { ...blur, behind };
  });
  for (let step = 0; step <= height + behind; step++) {
    for (const { source, weights, radius, out, behind } of delayed) {
      const y = step - behind;
      if (y < 0 || y >= height) continue;
      blurRow(source, width, height, y, weights, radius, line, out + y * rowBytes);
    }
    if (step > behind) reader.row(step - behind - 1);
  }
}

function clamp(value: number, low: number, high: number): number {
  return value < low ? low : value > high ? high : value;
}
