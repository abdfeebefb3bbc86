import { type Address, kernels } from "../../kernels/kernels.js";
import type { Room } from "../../kernels/room.js";
import type { GreyImage } from "../../types.js";
import { gaussianHalfKernel } from "./blur.js";

/** Grey values 0 to 1 in the room, f32, row-major. */
export interface FloatImage {
  readonly width: number;
  readonly height: number;
  readonly at: Address;
}

/** One halving of the picture: Gaussians of rising sigma, in the room, f32. */
export interface Octave {
  readonly width: number;
  readonly height: number;
  /** One pixel of this octave in pixels of the pyramid's base: 1, 2, 4... */
  readonly step: number;
  /** Gaussian k has sigma BASE_SIGMA * 2 ^ ((firstLevel + k) / LEVELS) px of this octave; up to level LEVELS. */
  readonly gaussians: readonly Address[];
  /** Gaussian k + 1 less Gaussian k, one level further. They stand only until the next octave is built. */
  readonly differences: readonly Address[];
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
/** Weights on one side of the widest blur, at most. */
const WIDEST_RADIUS = 16;

/** 8-bit grey to 0..1, enlarged by `factor` >= 1 (bilinear, pixel centres aligned). */
export function toFloatImage(image: GreyImage, factor: number, room: Room): FloatImage {
  const { width, height, data } = image;
  if (factor === 1) {
    const at = room.take(4 * width * height);
    kernels().greyRow(room.copy(data), width * height, at);
    return { width, height, at };
  }
  const outWidth = Math.round(width * factor);
  const outHeight = Math.round(height * factor);
  const at = room.take(4 * outWidth * outHeight);
  const out = room.f32(at, outWidth * outHeight);
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
 * @param factor how much the picture was enlarged: its own blur grew with it
 * @see Lowe 2004, Distinctive Image Features from Scale-Invariant Keypoints, section 3; differs in where octaves change
 */
export function* buildPyramid(base: FloatImage, factor: number, room: Room): Generator<Octave> {
  let { width, height } = base;
  const level = () => room.take(4 * width * height);
  const line = room.take(4 * (width + 2 * WIDEST_RADIUS));
  const row = room.take(4 * width);
  let gaussians = [level()];
  const first = { at: gaussians[0], step: 4 * width };
  blurInto(base, CAMERA_SIGMA * factor, BASE_SIGMA, first, 0, line, room);
  // The base is not needed any more: it takes a difference. The second octave has one more, of a quarter of the size.
  const differencesRoom = [...Array.from({ length: LEVELS }, level), base.at, room.take(width * height)];
  for (let step = 1; Math.min(width, height) >= SMALLEST_SIDE_PX; step *= 2) {
    const firstLevel = 1 - gaussians.length;
    const differences = differencesRoom.slice(0, LEVELS + 1 - firstLevel);
    if (gaussians.length === 2) {
      kernels().subtractRow(gaussians[1], gaussians[0], width * height, differences[0]);
    }
    for (let k = 1; k <= LEVELS + 1; k++) {
      const from = { width, height, at: gaussians[gaussians.length - 1] };
      const difference = differences[gaussians.length - 1];
      if (k <= LEVELS) gaussians.push(level());
      // The last Gaussian is wanted for its difference alone: its rows go one over the other.
      const out =
        k <= LEVELS ? { at: gaussians[gaussians.length - 1], step: 4 * width } : { at: row, step: 0 };
      blurInto(from, sigmaOf(k - 1), sigmaOf(k), out, difference, line, room);
    }
    yield { width, height, step, gaussians, differences, firstLevel };
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
}

function sigmaOf(level: number): number {
  return BASE_SIGMA * 2 ** (level / LEVELS);
}

/**
 * Brings an image of blur `sigma` to blur `wanted`; it is copied where it is as soft already.
 * @param out address of the first row, and bytes to the next
 * @param difference receives the result less the source; 0 where it is not wanted
 */
function blurInto(
  { at: source, width, height }: FloatImage,
  sigma: number,
  wanted: number,
  out: { readonly at: Address; readonly step: number },
  difference: Address,
  line: Address,
  room: Room,
): void {
  const more = wanted * wanted - sigma * sigma;
  const weights = more < 1e-6 ? Float32Array.of(1) : gaussianHalfKernel(Math.sqrt(more));
  const at = room.copy(weights);
  const { blurRow } = kernels();
  for (let y = 0; y < height; y++) {
    const to = difference === 0 ? 0 : difference + 4 * y * width;
    blurRow(source, width, height, y, at, weights.length - 1, line, out.at + y * out.step, to);
  }
}

function clamp(value: number, low: number, high: number): number {
  return value < low ? low : value > high ? high : value;
}
