/** Sharp sets of photos that shakes are put into: rendered rings, and photos of real captures that the eye found fine. */
import { existsSync } from "node:fs";
import { copyFile, mkdir, readdir, readFile, rename } from "node:fs/promises";
import { join } from "node:path";
import sharp from "sharp";
import { convolve } from "#goodgate/demo/faults.js";
import { cleanDemo, handHeld, planSet, renderLinear, type SetOptions, spoil } from "#goodgate/demo/index.js";
import type { RgbImage } from "#goodgate/types/pixels.js";
import { lineariseRgb } from "../support/linear.js";
import { type Shake, tapsOf } from "./shakes.js";

/** A set whose photos are sharp, each to be had as a file, sharp or shaken. */
export interface SharpSet {
  readonly name: string;
  readonly files: readonly string[];
  /** Long edge, px. */
  readonly longEdgePx: number;
  writeSharp(index: number, path: string): Promise<void>;
  writeShaken(index: number, path: string, shake: Shake): Promise<void>;
}

/** Qualities at which phones and editors store photos. */
const QUALITIES = [82, 90, 95];
const ISO = 100;

async function decoded(path: string): Promise<RgbImage> {
  const { data, info } = await sharp(path).rotate().raw().toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, data: new Uint8Array(data) };
}

/** Light as the lens sees it, moved, with the sensor's noise, as a JPEG file. */
async function writePhoto(
  light: RgbImage,
  path: string,
  index: number,
  softnessPx: number,
  shake?: Shake,
): Promise<void> {
  const clean = lineariseRgb(light);
  const scale = Math.max(clean.width, clean.height) / 1920;
  const moved = shake === undefined ? clean : convolve(clean, tapsOf(shake, scale, index));
  const { width, height, data } = spoil(moved, [], {
    iso: ISO,
    softnessPx,
    exposureStops: 0,
    noiseSeed: index,
  });
  await sharp(data, { raw: { width, height, channels: 3 } })
    .jpeg({ quality: QUALITIES[index % QUALITIES.length]! })
    .toFile(path);
}

/** A rendered ring; what the lens sees is drawn once and kept in `folder`. */
export async function renderedRing(
  name: string,
  options: Partial<SetOptions>,
  folder: string,
): Promise<SharpSet> {
  const plan = planSet({ ...cleanDemo, jitter: handHeld, portraitShare: 0, ...options });
  await mkdir(folder, { recursive: true });
  const drawn = (index: number) => join(folder, `${name.replaceAll(/\W+/g, "-")}-${index}.png`);
  for (const index of plan.photos.keys()) {
    if (existsSync(drawn(index))) continue;
    const { width, height, data } = spoil(renderLinear(plan, index).image, [], {
      iso: 0,
      softnessPx: 0,
      exposureStops: 0,
      noiseSeed: 0,
    });
    const whole = sharp(data, { raw: { width, height, channels: 3 } }).png({ compressionLevel: 1 });
    await whole.toFile(`${drawn(index)}.partial`);
    await rename(`${drawn(index)}.partial`, drawn(index));
  }
  const write = async (index: number, path: string, shake?: Shake) =>
    writePhoto(await decoded(drawn(index)), path, index, plan.photos[index]!.softnessPx, shake);
  return {
    name,
    files: plan.photos.map((_, i) => `${String(i + 1).padStart(3, "0")}.jpg`),
    longEdgePx: plan.options.widthPx,
    writeSharp: (index, path) => write(index, path),
    writeShaken: write,
  };
}

/** The first photos of a capture that were labelled as fine, as many as `most`. */
export async function finePhotos(captures: string, name: string, most: number): Promise<SharpSet> {
  const { photos } = JSON.parse(await readFile(join(captures, `${name}.labels.json`), "utf8")) as {
    photos: Record<string, { blur: number }>;
  };
  const files = (await readdir(join(captures, name))).filter((file) => photos[file]?.blur === 0).sort();
  const used = files.slice(0, most);
  const { width = 0, height = 0 } = await sharp(join(captures, name, used[0]!)).metadata();
  return {
    name,
    files: used,
    longEdgePx: Math.max(width, height),
    writeSharp: (index, path) => copyFile(join(captures, name, used[index]!), path),
    writeShaken: async (index, path, shake) =>
      writePhoto(await decoded(join(captures, name, used[index]!)), path, index, 0, shake),
  };
}
