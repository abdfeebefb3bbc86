import type { GreyImage, RgbImage } from "#goodgate/types/pixels.js";

/** Small pictures as arrays, made by a formula: no files, no decoder. */
export function grey(width: number, height: number, value: (x: number, y: number) => number): GreyImage {
  const data = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) data[y * width + x] = Math.max(0, Math.min(255, Math.round(value(x, y))));
  }
  return { width, height, data };
}

export function rgb(
  width: number,
  height: number,
  value: (x: number, y: number) => readonly [number, number, number],
): RgbImage {
  const data = new Uint8Array(3 * width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) data.set(value(x, y), 3 * (y * width + x));
  }
  return { width, height, data };
}

/** Numbers in [0, 1), the same for the same seed (mulberry32, public domain, from memory). */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** Standard normal numbers by Box and Muller. */
export function seededNormal(seed: number): () => number {
  const random = seededRandom(seed);
  return () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}

export function noisePicture(
  width: number,
  height: number,
  mean: number,
  sigma: number,
  seed: number,
): GreyImage {
  const normal = seededNormal(seed);
  return grey(width, height, () => mean + sigma * normal());
}
