/** Small pictures and files made on the spot. */
import sharp from "sharp";
import type { RgbImage } from "#goodgate/types/pixels.js";
import { rgb, seededRandom } from "./arrays.js";

/** Four quarters of plain colour, red green / blue white: every orientation of it differs. */
export function quarters(width = 96, height = 64): RgbImage {
  return rgb(width, height, (x, y) => {
    if (y < height / 2) return x < width / 2 ? [220, 30, 30] : [30, 200, 30];
    return x < width / 2 ? [30, 30, 220] : [240, 240, 240];
  });
}

/** Coarse seeded texture of 8-pixel squares, smoothed by the JPEG: something to find keypoints on. */
export function textured(width = 320, height = 240, seed = 1): RgbImage {
  const random = seededRandom(seed);
  const columns = Math.ceil(width / 8);
  const cells = Float64Array.from({ length: columns * Math.ceil(height / 8) }, () => 40 + 170 * random());
  return rgb(width, height, (x, y) => {
    const level = cells[(y >> 3) * columns + (x >> 3)];
    return [level, level * 0.9, level * 0.8];
  });
}

const rawSharp = ({ width, height, data }: RgbImage) => sharp(data, { raw: { width, height, channels: 3 } });

/** EXIF by directory and tag name, values as text, as the encoder takes it. */
export type ExifText = Record<string, Record<string, string>>;

export interface JpegOptions {
  readonly quality?: number;
  readonly progressive?: boolean;
  readonly orientation?: number;
  readonly exif?: ExifText;
}

/** A JPEG, 4:4:4. */
export async function jpeg(of: RgbImage, options: JpegOptions = {}): Promise<Uint8Array> {
  const { quality = 95, progressive = false, orientation, exif } = options;
  let made = rawSharp(of);
  if (exif !== undefined) made = made.withExif(exif);
  if (orientation !== undefined) made = made.withMetadata({ orientation });
  return new Uint8Array(await made.jpeg({ quality, progressive, chromaSubsampling: "4:4:4" }).toBuffer());
}

export async function png(of: RgbImage): Promise<Uint8Array> {
  return new Uint8Array(await rawSharp(of).png().toBuffer());
}

export async function webp(of: RgbImage, exif?: ExifText): Promise<Uint8Array> {
  const made = exif === undefined ? rawSharp(of) : rawSharp(of).withExif(exif);
  return new Uint8Array(await made.webp({ lossless: true }).toBuffer());
}

export async function tiff(of: RgbImage): Promise<Uint8Array> {
  return new Uint8Array(await rawSharp(of).tiff({ compression: "none" }).toBuffer());
}
