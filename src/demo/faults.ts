import type { RgbImage } from "../types/pixels.js";
import { mixSeed, normalDeviates } from "./random.js";

/** Linear light, 1 = white, row-major, interleaved: red of (x, y) is data[3 * (y * width + x)]. May exceed 1. */
export interface LinearImage {
  readonly width: number;
  readonly height: number;
  readonly data: Float32Array;
}

/** One point of a blur: how far from the middle it reaches, whole pixels, and how much it counts. */
export interface KernelTap {
  readonly x: number;
  readonly y: number;
  readonly weight: number;
}

/** Pixels of a picture that a length of `px1920` pixels at a long edge of 1920 px amounts to. */
export function pxFrom1920(
  px1920: number,
  image: { readonly width: number; readonly height: number },
): number {
  return (px1920 * Math.max(image.width, image.height)) / 1920;
}

/** sRGB encoding of linear light, 0 to 1, to 0 to 255, not rounded. @see IEC 61966-2-1:1999 */
export function encodeSrgb(linear: number): number {
  return 255 * (linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055);
}

/** Weights of a Gaussian at whole pixels out to 4 sigma, sum 1. */
function gaussianWeights(sigmaPx: number): Float32Array {
  const radius = Math.max(1, Math.ceil(4 * sigmaPx));
  const weights = new Float32Array(2 * radius + 1);
  let sum = 0;
  for (let i = -radius; i <= radius; i++) sum += Math.exp((-i * i) / (2 * sigmaPx * sigmaPx));
  for (let i = -radius; i <= radius; i++) {
    weights[i + radius] = Math.exp((-i * i) / (2 * sigmaPx * sigmaPx)) / sum;
  }
  return weights;
}

/** Adds `weight` times row `from`, moved by `shift` pixels and held at its ends, to row `to`. */
function addRow(
  source: Float32Array,
  from: number,
  target: Float32Array,
  to: number,
  width: number,
  shift: number,
  weight: number,
): void {
  const first = Math.min(width, Math.max(0, -shift));
  const end = Math.max(first, Math.min(width, width - shift));
  for (let x = 0; x < first; x++) {
    for (let c = 0; c < 3; c++) target[to + 3 * x + c] += weight * source[from + c];
  }
  const delta = from - to + 3 * shift;
  for (let i = to + 3 * first, last = to + 3 * end; i < last; i++) target[i] += weight * source[i + delta];
  const edge = from + 3 * (width - 1);
  for (let x = end; x < width; x++) {
    for (let c = 0; c < 3; c++) target[to + 3 * x + c] += weight * source[edge + c];
  }
}

/** Convolution with a few taps; pixels beyond the edge repeat the edge. */
export function convolve(image: LinearImage, taps: readonly KernelTap[]): LinearImage {
  const { width, height, data } = image;
  const out = new Float32Array(data.length);
  for (let y = 0; y < height; y++) {
    for (const tap of taps) {
      const row = Math.min(height - 1, Math.max(0, y + tap.y));
      addRow(data, 3 * row * width, out, 3 * y * width, width, tap.x, tap.weight);
    }
  }
  return { width, height, data: out };
}

/** Gaussian blur of standard deviation `sigmaPx`, pixels of this picture; 0 returns the picture itself. */
export function gaussianBlur(image: LinearImage, sigmaPx: number): LinearImage {
  if (sigmaPx <= 0) return image;
  const weights = Array.from(gaussianWeights(sigmaPx));
  const radius = (weights.length - 1) / 2;
  const across = convolve(
    image,
    weights.map((weight, i) => ({ x: i - radius, y: 0, weight })),
  );
  return convolve(
    across,
    weights.map((weight, i) => ({ x: 0, y: i - radius, weight })),
  );
}

/** Parts of a pixel along each side when a kernel's shape is cut into pixels. */
const kernelParts = 8;

/**
 * Taps of an out-of-focus lens: an even disc whose standard deviation along each axis is `sigmaPx`, so of radius
 * 2 sigma.
 */
export function discTaps(sigmaPx: number): KernelTap[] {
  const radius = 2 * sigmaPx;
  const reach = Math.ceil(radius + 0.5);
  const taps: KernelTap[] = [];
  let total = 0;
  for (let y = -reach; y <= reach; y++) {
    for (let x = -reach; x <= reach; x++) {
      let inside = 0;
      for (let j = 0; j < kernelParts; j++) {
        for (let i = 0; i < kernelParts; i++) {
          const dx = x + (i + 0.5) / kernelParts - 0.5;
          const dy = y + (j + 0.5) / kernelParts - 0.5;
          if (dx * dx + dy * dy <= radius * radius) inside++;
        }
      }
      if (inside > 0) taps.push({ x, y, weight: inside });
      total += inside;
    }
  }
  return taps.map((tap) => ({ ...tap, weight: tap.weight / total }));
}

/** Defocus: `sigmaPx` is the standard deviation of the spread along each axis, pixels of this picture. */
export function defocus(
  image: LinearImage,
  sigmaPx: number,
  shape: "gaussian" | "disc" = "disc",
): LinearImage {
  if (sigmaPx <= 0) return image;
  return shape === "gaussian" ? gaussianBlur(image, sigmaPx) : convolve(image, discTaps(sigmaPx));
}

/** Taps of a straight even movement: `directionDeg` is 0 along x and turns clockwise in the picture (y down). */
export function motionTaps(lengthPx: number, directionDeg: number): KernelTap[] {
  const angle = (directionDeg * Math.PI) / 180;
  const points = Math.max(1, Math.ceil(lengthPx * kernelParts));
  const weights = new Map<string, KernelTap>();
  const put = (x: number, y: number, weight: number): void => {
    if (weight < 1e-9) return;
    const key = `${x} ${y}`;
    weights.set(key, { x, y, weight: weight + (weights.get(key)?.weight ?? 0) });
  };
  for (let i = 0; i < points; i++) {
    const along = ((i + 0.5) / points - 0.5) * lengthPx;
    const x = along * Math.cos(angle);
    const y = along * Math.sin(angle);
    const ix = Math.floor(x);
    const iy = Math.floor(y);
    const fx = x - ix;
    const fy = y - iy;
    put(ix, iy, ((1 - fx) * (1 - fy)) / points);
    put(ix + 1, iy, (fx * (1 - fy)) / points);
    put(ix, iy + 1, ((1 - fx) * fy) / points);
    put(ix + 1, iy + 1, (fx * fy) / points);
  }
  return [...weights.values()];
}

/** Motion blur of `lengthPx` pixels of this picture. */
export function motionBlur(image: LinearImage, lengthPx: number, directionDeg: number): LinearImage {
  return lengthPx <= 0 ? image : convolve(image, motionTaps(lengthPx, directionDeg));
}

/** Multiplies each channel by 2^stops. */
export function scaleChannels(
  image: LinearImage,
  stops: { readonly red: number; readonly green: number; readonly blue: number },
): LinearImage {
  const gains = [2 ** stops.red, 2 ** stops.green, 2 ** stops.blue];
  const data = new Float32Array(image.data.length);
  for (let i = 0; i < data.length; i += 3) {
    data[i] = image.data[i] * gains[0];
    data[i + 1] = image.data[i + 1] * gains[1];
    data[i + 2] = image.data[i + 2] * gains[2];
  }
  return { ...image, data };
}

/**
 * Sensor noise in linear light: variance = shot * level + read^2, level 1 = white. Independent in each channel and
 * pixel.
 */
export interface NoiseModel {
  readonly shot: number;
  readonly read: number;
}

/**
 * Noise of a small phone sensor, after the smoothing a phone does, at a sensitivity: shot variance grows with it,
 * read noise too. The level is our choice: 0.8 grey levels at mid-grey and ISO 200.
 */
export function phoneNoise(iso: number): NoiseModel {
  return { shot: 2e-7 * iso, read: 1.6e-6 * iso };
}

const encodeSteps = 4096;
let encodeTable: Float32Array | undefined;

/** sRGB code for linear light in steps of the square root, which keeps the dark end fine. */
function encodingTable(): Float32Array {
  encodeTable ??= Float32Array.from({ length: encodeSteps + 2 }, (_, i) =>
    encodeSrgb((i / encodeSteps) ** 2),
  );
  return encodeTable;
}

/** The end of the chain: sensor noise, clipping at 0 and 1, sRGB, 8 bits. The same seed gives the same noise. */
export function develop(image: LinearImage, noise: NoiseModel, ...seed: readonly number[]): RgbImage {
  const { width, height, data } = image;
  const out = new Uint8Array(data.length);
  const table = encodingTable();
  const deviates = normalDeviates();
  const { shot, read } = noise;
  const floor = read * read;
  const noisy = shot > 0 || read > 0;
  let state = mixSeed(...seed) | 0;
  let word = 0;
  let left = 0;
  for (let i = 0; i < data.length; i++) {
    let value = data[i];
    if (noisy) {
      if (left === 0) {
        state = (state + 0x6d2b79f5) | 0;
        word = Math.imul(state ^ (state >>> 15), state | 1);
        word ^= word + Math.imul(word ^ (word >>> 7), word | 61);
        word ^= word >>> 14;
        left = 2;
      }
      const pick = word & 0xffff;
      word >>>= 16;
      left--;
      value += deviates[pick] * Math.sqrt(floor + shot * Math.max(value, 0));
    }
    if (value <= 0) continue;
    if (value >= 1) {
      out[i] = 255;
      continue;
    }
    const position = Math.sqrt(value) * encodeSteps;
    const cell = position | 0;
    const low = table[cell];
    out[i] = low + (table[cell + 1] - low) * (position - cell) + 0.5;
  }
  return { width, height, data: out };
}
