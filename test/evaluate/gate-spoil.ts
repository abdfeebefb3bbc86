/** What is done to a photo's file to make a set that must not pass. */
import { readFile } from "node:fs/promises";
import sharp from "sharp";
import { spliceSegment } from "#goodgate/demo/exif.js";
import { develop, gaussianBlur, type LinearImage, motionBlur, pxFrom1920 } from "#goodgate/demo/faults.js";
import { createRandom } from "#goodgate/demo/random.js";
import type { RgbImage } from "#goodgate/types/pixels.js";
import { lineariseRgb, stepExposure } from "../support/linear.js";

/** The bytes of photo `index` of a set, from the file of a good photo. */
export type Spoil = (file: string, index: number) => Promise<Uint8Array>;

export const asIs: Spoil = async (file) => readFile(file);

/** The segment of a JPEG that holds its EXIF; undefined where it has none. */
function exifOf(jpeg: Uint8Array): Uint8Array | undefined {
  let at = 2;
  while (at + 4 <= jpeg.length && jpeg[at] === 0xff && jpeg[at + 1] !== 0xda) {
    const length = 2 + (jpeg[at + 2] << 8) + jpeg[at + 3];
    if (jpeg[at + 1] === 0xe1) return jpeg.slice(at, at + length);
    at += length;
  }
  return undefined;
}

async function pixels(file: string, longEdgePx?: number): Promise<RgbImage> {
  const picture = sharp(file).removeAlpha().toColourspace("srgb");
  const sized = longEdgePx === undefined ? picture : picture.resize({ ...boxOf(longEdgePx) });
  const { data, info } = await sized.raw().toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, data };
}

const boxOf = (edge: number) =>
  ({ width: edge, height: edge, fit: "inside", withoutEnlargement: true }) as const;

/** A JPEG of the picture, with the EXIF of the photo it was made from. */
async function encode(image: RgbImage, from: string, quality = 92): Promise<Uint8Array> {
  const { width, height, data } = image;
  const jpeg = await sharp(data, { raw: { width, height, channels: 3 } })
    .jpeg({ quality })
    .toBuffer();
  const exif = /\.jpe?g$/i.test(from) ? exifOf(await readFile(from)) : undefined;
  return exif === undefined ? jpeg : spliceSegment(jpeg, exif);
}

/** Changes a photo in linear light; the sensor's noise is in it already. */
function inLight(change: (light: LinearImage, index: number) => LinearImage, noise = quiet): Spoil {
  return async (file, index) =>
    encode(develop(change(lineariseRgb(await pixels(file)), index), noise, 77, index), file);
}

const quiet = { shot: 0, read: 0 };
/** Shot and read noise of a dark stage at the highest sensitivity. */
const drowning = { shot: 4e-3, read: 3e-2 };

export const soft = (sigmaPx: number): Spoil =>
  inLight((light) => gaussianBlur(light, pxFrom1920(sigmaPx, light)));

export const shaken = (lengthPx: number, directionDeg: number | "its own"): Spoil =>
  inLight((light, index) =>
    motionBlur(
      light,
      pxFrom1920(lengthPx, light),
      directionDeg === "its own" ? 180 * createRandom(78, index).uniform() : directionDeg,
    ),
  );

export const exposed = (stops: number): Spoil => inLight((light) => stepExposure(light, stops));

/** Each of 24 photos at another exposure, from so many stops under to as many over. */
export const bracketed = (most: number): Spoil =>
  inLight((light, index) => stepExposure(light, -most + (2 * most * (index % 24)) / 23));

export const noisy: Spoil = inLight((light) => light, drowning);

export const grainy: Spoil = inLight((light) => light, { shot: 2e-4, read: 2e-3 });

/** A little softer with every photo: the focus is turned, the camera is not. */
export const refocused: Spoil = inLight((light, index) =>
  gaussianBlur(light, pxFrom1920(0.3 + 0.15 * index, light)),
);

export const recompressed =
  (quality: number | "each its own"): Spoil =>
  async (file, index) =>
    encode(await pixels(file), file, quality === "each its own" ? 60 + (index % 40) : quality);

export const thumbnail =
  (longEdgePx: number): Spoil =>
  async (file) =>
    encode(await pixels(file, longEdgePx), file);

export const resized =
  (longEdgePx: number): Spoil =>
  async (file) =>
    encode(await pixels(file, longEdgePx), file, 90);

export const mirrored: Spoil = async (file) => {
  const { data, info } = await sharp(file).flop().raw().toBuffer({ resolveWithObject: true });
  return encode({ width: info.width, height: info.height, data }, file);
};

/** The middle of the photo, ever closer, at the photo's own size: zoomed from one place. */
export const zoomed: Spoil = async (file, index) => {
  const { width, height } = await sharp(file).metadata();
  const share = 1 / (1 + 0.04 * index);
  const [w, h] = [Math.round(width * share), Math.round(height * share)];
  const { data, info } = await sharp(file)
    .extract({
      left: Math.floor((width - w) / 2),
      top: Math.floor((height - h) / 2),
      width: w,
      height: h,
    })
    .resize(width, height, { fit: "fill" })
    .raw()
    .toBuffer({ resolveWithObject: true });
  return encode({ width: info.width, height: info.height, data }, file);
};

/** A soft dark blob before the lens, over the middle of the frame. */
export const blotted =
  (radiusRatio: number): Spoil =>
  async (file) => {
    const image = await pixels(file);
    const { width, height, data } = image;
    const out = Uint8Array.from(data);
    const radius = radiusRatio * Math.min(width, height);
    for (let y = 0; y < height; y++)
      for (let x = 0; x < width; x++) {
        const away = Math.hypot(x - width / 2, y - height / 2) / radius;
        const cover = Math.min(1, Math.max(0, (1.15 - away) / 0.3));
        for (let c = 0; c < 3; c++) {
          const at = 3 * (y * width + x) + c;
          out[at] = Math.round(data[at] * (1 - cover) + 26 * cover);
        }
      }
    return encode({ width, height, data: out }, file);
  };

/** A window of a large picture that slides along it: a walk past a flat thing. */
export const alongside =
  (count: number, window = { widthPx: 800, heightPx: 600 }): Spoil =>
  async (file, index) => {
    const wide = sharp(file)
      .removeAlpha()
      .toColourspace("srgb")
      .resize({ height: Math.round(1.1 * window.heightPx) });
    const { data, info } = await wide.raw().toBuffer({ resolveWithObject: true });
    const room = Math.max(0, info.width - window.widthPx);
    const left = Math.round((room * index) / Math.max(1, count - 1));
    const cut = await sharp(data, { raw: { width: info.width, height: info.height, channels: 3 } })
      .extract({
        left,
        top: Math.round(0.03 * window.heightPx * (1 + Math.sin(index))),
        width: Math.min(window.widthPx, info.width),
        height: window.heightPx,
      })
      .raw()
      .toBuffer({ resolveWithObject: true });
    return encode({ width: cut.info.width, height: cut.info.height, data: cut.data }, "");
  };

/** Any picture as a photo of at most this long edge. */
export const asPhoto =
  (longEdgePx: number): Spoil =>
  async (file) =>
    encode(await pixels(file, longEdgePx), file);

/** A photo whose EXIF states another lens and another exposure each time. */
export const lying: Spoil = async (file, index) => {
  const { data, info } = await sharp(file).raw().toBuffer({ resolveWithObject: true });
  const random = createRandom(79, index);
  return new Uint8Array(
    await sharp(data, { raw: { width: info.width, height: info.height, channels: 3 } })
      .jpeg({ quality: 92 })
      .withExif({
        IFD0: { Make: "Limelight", Model: "Prompt 3" },
        IFD2: {
          FocalLengthIn35mmFilm: String(Math.round(14 + 180 * random.uniform())),
          FocalLength: "50/1",
          ExposureTime: `1/${Math.round(4 + 4000 * random.uniform())}`,
          FNumber: "28/10",
          ISOSpeedRatings: String(100 * (1 + (index % 32))),
          DateTimeOriginal: `2026:05:01 ${String(23 - (index % 24)).padStart(2, "0")}:00:00`,
        },
      })
      .toBuffer(),
  );
};

/** Even grey, with a little noise where asked. */
export function drawn(
  kind: "noise" | "flat" | "squares",
  seed: number,
  size = { width: 800, height: 600 },
): RgbImage {
  const { width, height } = size;
  const random = createRandom(80, seed);
  const data = new Uint8Array(3 * width * height);
  if (kind === "squares") {
    // Squares of three sizes over one another, each seed its own: rich in corners, alike in nothing.
    const layers = [64, 24, 9].map((cell) => {
      const columns = Math.ceil(width / cell) + 1;
      const values = Float64Array.from({ length: columns * (Math.ceil(height / cell) + 1) }, () =>
        random.uniform(),
      );
      return (x: number, y: number) => values[Math.floor(y / cell) * columns + Math.floor(x / cell)];
    });
    for (let y = 0; y < height; y++)
      for (let x = 0; x < width; x++) {
        const level = layers.reduce((sum, layer) => sum + layer(x, y) / 3, 0);
        const at = 3 * (y * width + x);
        data[at] = Math.round(30 + 200 * level);
        data[at + 1] = Math.round(25 + 190 * level);
        data[at + 2] = Math.round(40 + 160 * level);
      }
    return { width, height, data };
  }
  const level = 60 + 120 * random.uniform();
  const spread = kind === "noise" ? 60 : 2;
  for (let i = 0; i < data.length; i++)
    data[i] = Math.max(0, Math.min(255, Math.round(level + spread * random.normal())));
  return { width, height, data };
}

export async function drawnPhoto(kind: "noise" | "flat" | "squares", seed: number): Promise<Uint8Array> {
  return encode(drawn(kind, seed), "");
}
