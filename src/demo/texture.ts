import { pyramidNoise } from "./noise.js";

/**
 * A colour texture with its halved copies, 8 bits a channel, square-root coded (albedo = (value / 255)^2). Sides
 * are powers of two. It repeats along u and stops at the edge along v.
 */
export interface Texture {
  readonly width: number;
  readonly height: number;
  readonly levels: number;
  /** All levels one after another, interleaved red, green, blue. */
  readonly data: Uint8Array;
  /** First byte of each level. */
  readonly offsets: Int32Array;
}

/** Adds the halved copies to a full-size square-root coded picture. */
export function createTexture(width: number, height: number, full: Uint8Array): Texture {
  const levels = Math.log2(Math.min(width, height)) + 1;
  const offsets = new Int32Array(levels);
  let total = 0;
  for (let level = 0; level < levels; level++) {
    offsets[level] = total;
    total += 3 * (width >> level) * (height >> level);
  }
  const data = new Uint8Array(total);
  data.set(full);
  for (let level = 1; level < levels; level++) {
    const w = width >> level;
    const h = height >> level;
    const from = offsets[level - 1];
    let to = offsets[level];
    for (let y = 0; y < h; y++) {
      for (let x = 0; x < w; x++) {
        const a = from + 3 * (2 * y * 2 * w + 2 * x);
        const b = a + 3 * 2 * w;
        for (let c = 0; c < 3; c++) {
          // The mean is taken of light, not of code values: a distant check of black and white is mid-grey.
          const p = data[a + c];
          const q = data[a + 3 + c];
          const r = data[b + c];
          const s = data[b + 3 + c];
          data[to++] = Math.sqrt((p * p + q * q + r * r + s * s) / 4) + 0.5;
        }
      }
    }
  }
  return { width, height, levels, data, offsets };
}

/** Where `sampleTexture` adds its result: red, green, blue of the square-root code, 0 to 255. */
export type Accumulator = Float64Array;

function addBilinear(
  t: Texture,
  level: number,
  u: number,
  v: number,
  weight: number,
  sum: Accumulator,
): void {
  const width = t.width >> level;
  const height = t.height >> level;
  const x = u * width - 0.5;
  const y = v * height - 0.5;
  const ix = Math.floor(x);
  let iy = Math.floor(y);
  const fx = x - ix;
  let fy = y - iy;
  if (iy < 0) {
    iy = 0;
    fy = 0;
  } else if (iy >= height - 1) {
    iy = height - 1;
    fy = 0;
  }
  const x0 = 3 * (ix & (width - 1));
  const x1 = 3 * ((ix + 1) & (width - 1));
  const base = t.offsets[level];
  const row0 = base + 3 * iy * width;
  const row1 = fy === 0 ? row0 : row0 + 3 * width;
  const data = t.data;
  const w11 = weight * fx * fy;
  const w01 = weight * fy - w11;
  const w10 = weight * fx - w11;
  const w00 = weight - w10 - w01 - w11;
  const a = row0 + x0;
  const b = row0 + x1;
  const c = row1 + x0;
  const d = row1 + x1;
  sum[0] += w00 * data[a] + w10 * data[b] + w01 * data[c] + w11 * data[d];
  sum[1] += w00 * data[a + 1] + w10 * data[b + 1] + w01 * data[c + 1] + w11 * data[d + 1];
  sum[2] += w00 * data[a + 2] + w10 * data[b + 2] + w01 * data[c + 2] + w11 * data[d + 2];
}

/** Adds `weight` times the texture at (u, v), filtered to a footprint of 2^level texels. */
export function sampleTexture(
  t: Texture,
  level: number,
  u: number,
  v: number,
  weight: number,
  sum: Accumulator,
): void {
  if (level <= 0) {
    addBilinear(t, 0, u, v, weight, sum);
    return;
  }
  const last = t.levels - 1;
  const low = Math.floor(level);
  if (low >= last) {
    addBilinear(t, last, u, v, weight, sum);
    return;
  }
  const high = level - low;
  if (high < 0.999) addBilinear(t, low, u, v, weight * (1 - high), sum);
  if (high > 0.001) addBilinear(t, low + 1, u, v, weight * high, sum);
}

/** Detail finer than the colour textures: it repeats, so it holds only sizes too small to be told apart. */
export interface DetailTexture {
  readonly size: number;
  readonly levels: readonly Int8Array[];
}

/** Detail texels per texel of the colour texture. */
export const detailPerTexel = 8;

const detailSteps = Math.log2(detailPerTexel);
const detailSize = 1024;
let detail: DetailTexture | undefined;

/** The one detail texture, code 127 = +1. Its longest waves are two texels of the colour texture it refines. */
export function detailTexture(): DetailTexture {
  if (detail !== undefined) return detail;
  const field = pyramidNoise(detailSize, detailSize, 0x64657461, (step) => (step <= 3 ? 0.45 : 0));
  const levels: Int8Array[] = [];
  let values = field.data;
  // Detail fades out where a pixel spans a whole texel of the colour texture: averages over more are near nothing.
  for (let size = detailSize; size > detailSize / detailPerTexel; size /= 2) {
    const coded = new Int8Array(size * size);
    for (let i = 0; i < coded.length; i++) coded[i] = Math.max(-127, Math.min(127, values[i] * 127));
    levels.push(coded);
    const half = new Float32Array((size / 2) * (size / 2));
    for (let y = 0; y < size / 2; y++) {
      for (let x = 0; x < size / 2; x++) {
        const i = 2 * y * size + 2 * x;
        half[y * (size / 2) + x] = (values[i] + values[i + 1] + values[i + size] + values[i + size + 1]) / 4;
      }
    }
    values = half;
  }
  detail = { size: detailSize, levels };
  return detail;
}

function detailBilinear(t: DetailTexture, level: number, x: number, y: number): number {
  const size = t.size >> level;
  const mask = size - 1;
  const sx = x / (1 << level) - 0.5;
  const sy = y / (1 << level) - 0.5;
  const ix = Math.floor(sx);
  const iy = Math.floor(sy);
  const fx = sx - ix;
  const fy = sy - iy;
  const data = t.levels[level];
  const row0 = (iy & mask) * size;
  const row1 = ((iy + 1) & mask) * size;
  const x0 = ix & mask;
  const x1 = (ix + 1) & mask;
  const top = data[row0 + x0] * (1 - fx) + data[row0 + x1] * fx;
  return (top + (data[row1 + x0] * (1 - fx) + data[row1 + x1] * fx - top) * fy) / 127;
}

/**
 * Detail at a place given in texels of the colour texture, for a footprint of 2^level such texels.
 *
 * @returns about -1 to 1; 0 where the footprint is too large to see any.
 */
export function sampleDetail(t: DetailTexture, level: number, xTexels: number, yTexels: number): number {
  const fine = Math.max(0, level + detailSteps);
  const low = Math.floor(fine);
  const x = xTexels * detailPerTexel;
  const y = yTexels * detailPerTexel;
  if (low >= t.levels.length) return 0;
  const a = detailBilinear(t, low, x, y);
  const b = low + 1 < t.levels.length ? detailBilinear(t, low + 1, x, y) : 0;
  return a + (b - a) * (fine - low);
}
