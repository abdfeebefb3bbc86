/** Small pictures and files made on the spot. */
import sharp from "sharp";

export interface Picture {
  readonly width: number;
  readonly height: number;
  /** Interleaved RGB, 8 bits. */
  readonly data: Uint8Array;
}

/** A seeded stream of numbers in [0, 1). @see Steele, Lea & Flood 2014, SplitMix; 32-bit mixing steps */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x9e3779b9) >>> 0;
    let mixed = state;
    mixed = Math.imul(mixed ^ (mixed >>> 16), 0x85ebca6b);
    mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35);
    return ((mixed ^ (mixed >>> 16)) >>> 0) / 2 ** 32;
  };
}

/** A picture from a colour a pixel. */
export function picture(
  width: number,
  height: number,
  colour: (x: number, y: number) => readonly [red: number, green: number, blue: number],
): Picture {
  const data = new Uint8Array(width * height * 3);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) data.set(colour(x, y), 3 * (y * width + x));
  }
  return { width, height, data };
}

/** Four quarters of plain colour, red green / blue white: every orientation of it differs. */
export function quarters(width = 96, height = 64): Picture {
  return picture(width, height, (x, y) => {
    if (y < height / 2) return x < width / 2 ? [220, 30, 30] : [30, 200, 30];
    return x < width / 2 ? [30, 30, 220] : [240, 240, 240];
  });
}

/** Coarse seeded texture of 8-pixel squares, smoothed by the JPEG: something to find keypoints on. */
export function textured(width = 320, height = 240, seed = 1): Picture {
  const random = seededRandom(seed);
  const columns = Math.ceil(width / 8);
  const cells = Float64Array.from({ length: columns * Math.ceil(height / 8) }, () => 40 + 170 * random());
  return picture(width, height, (x, y) => {
    const level = cells[(y >> 3) * columns + (x >> 3)];
    return [level, level * 0.9, level * 0.8];
  });
}

const rawSharp = ({ width, height, data }: Picture) => sharp(data, { raw: { width, height, channels: 3 } });

/** EXIF by directory and tag name, values as text, as the encoder takes it. */
export type ExifText = Record<string, Record<string, string>>;

export interface JpegOptions {
  readonly quality?: number;
  readonly progressive?: boolean;
  readonly orientation?: number;
  readonly exif?: ExifText;
}

/** A JPEG, 4:4:4. */
export async function jpeg(of: Picture, options: JpegOptions = {}): Promise<Uint8Array> {
  const { quality = 95, progressive = false, orientation, exif } = options;
  let made = rawSharp(of);
  if (exif !== undefined) made = made.withExif(exif);
  if (orientation !== undefined) made = made.withMetadata({ orientation });
  return new Uint8Array(await made.jpeg({ quality, progressive, chromaSubsampling: "4:4:4" }).toBuffer());
}

export async function png(of: Picture): Promise<Uint8Array> {
  return new Uint8Array(await rawSharp(of).png().toBuffer());
}

export async function webp(of: Picture, exif?: ExifText): Promise<Uint8Array> {
  const made = exif === undefined ? rawSharp(of) : rawSharp(of).withExif(exif);
  return new Uint8Array(await made.webp({ lossless: true }).toBuffer());
}

export async function tiff(of: Picture): Promise<Uint8Array> {
  return new Uint8Array(await rawSharp(of).tiff({ compression: "none" }).toBuffer());
}
