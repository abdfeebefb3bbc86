/**
 * True matches within 3 px of known homographies beside those of the general-purpose library, whose counts
 * keypoint-yield.py keeps in fixtures/matches/. Photographs are tilted here the same way: cubic resampling, dimmed, with
 * noise.
 */
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import sharp from "sharp";
import { extractFeatures } from "#goodgate/measure/features/extract.js";
import { invertHomography } from "#goodgate/measure/geometry/homography.js";
import { matchDescriptors } from "#goodgate/measure/pair/match.js";
import type { Features } from "#goodgate/types/photo.js";
import type { GreyImage } from "#goodgate/types/pixels.js";
import { gaussian, randomSource } from "../measure/poses/synthetic.js";
import { percentile, type Section } from "./table.js";

interface Pair {
  /** Path from the data folder. */
  readonly photo: string;
  readonly degrees: number;
  /** Takes pixels of the photo to those of the tilted one, both of the same size. */
  readonly homography: readonly number[];
  readonly gain: number;
  readonly sift: number;
  readonly orb: number;
}

interface Library {
  readonly longEdgePx: number;
  readonly noise: number;
  readonly pairs: readonly Pair[];
}

const BORDER = 90;
const BARS: Readonly<Record<number, number>> = { 5: 0.9, 10: 0.9, 15: 0.7, 20: 0.7, 30: 0.7 };

/**
 * Share of the library's true matches that we find, by tilt.
 *
 * @returns undefined without the photographs of test/fetch-test-data.sh.
 */
export async function keypointYield(data: string | undefined): Promise<Section | undefined> {
  const library = JSON.parse(readFileSync(join("fixtures", "matches", "library.json"), "utf8")) as Library;
  if (data === undefined || !library.pairs.every(({ photo }) => existsSync(join(data, photo))))
    return undefined;
  const shares = new Map<number, number[]>();
  const right = new Map<number, number[]>();
  const known = new Map<string, { picture: GreyImage; features: Features }>();
  for (const [index, pair] of library.pairs.entries()) {
    let upright = known.get(pair.photo);
    if (!upright) {
      const picture = await workingSize(join(data, pair.photo), library.longEdgePx);
      upright = { picture, features: extractFeatures(picture) };
      known.set(pair.photo, upright);
    }
    const tilted = extractFeatures(tilt(upright.picture, pair, library.noise, index + 1));
    const matches = matchDescriptors(upright.features, tilted);
    const near = withinThreePx(pair.homography, upright.features, tilted, matches);
    shares.set(pair.degrees, [...(shares.get(pair.degrees) ?? []), near / pair.sift]);
    right.set(pair.degrees, [...(right.get(pair.degrees) ?? []), (2 * near) / matches.length]);
  }
  return {
    title: "Matches",
    about:
      `True matches (within 3 px of the known geometry) over those of the general-purpose library's SIFT (2000 strongest, ` +
      `ratio .8), real photographs tilted at a long edge of ${library.longEdgePx} px: median and least over ` +
      "photographs; share of ours that are right, median.",
    rows: [...shares].map(([degrees, values]) => ({
      what: `tilted by ${degrees} degrees (${values.length} photographs)`,
      measured: [percentile(values, 0.5), percentile(values, 0), percentile(right.get(degrees) ?? [], 0.5)],
      bar: [BARS[degrees]],
      atLeast: true,
    })),
  };
}

/** A picture brought to a long edge, enlarged where it is smaller, as the library's counts were taken. */
async function workingSize(file: string, longEdgePx: number): Promise<GreyImage> {
  const { width = 0, height = 0 } = await sharp(file, { failOn: "none" }).metadata();
  const scale = longEdgePx / Math.max(width, height);
  const { data, info } = await sharp(file, { failOn: "none" })
    .removeAlpha()
    .resize(Math.round(scale * width), Math.round(scale * height), { fit: "fill" })
    .toColourspace("b-w")
    .extractChannel(0)
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, data: new Uint8Array(data) };
}

/** The picture under a homography, dimmed and with noise; outside of it plain grey. */
function tilt(picture: GreyImage, { homography, gain }: Pair, noise: number, seed: number): GreyImage {
  const { width, height } = picture;
  const back = invertHomography(Float64Array.from(homography));
  if (!back) throw new Error("expected homographies that can be inverted");
  const random = randomSource(seed);
  const data = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const w = back[6] * x + back[7] * y + back[8];
      const u = (back[0] * x + back[1] * y + back[2]) / w;
      const v = (back[3] * x + back[4] * y + back[5]) / w;
      const inside = u >= 1 && v >= 1 && u < width - 2 && v < height - 2;
      const value = (inside ? cubicAt(picture, u, v) : BORDER) * gain + noise * gaussian(random);
      data[y * width + x] = Math.max(0, Math.min(255, Math.round(value)));
    }
  }
  return { width, height, data };
}

/** Keys's cubic convolution with the library's slope. */
const SLOPE = -0.75;

function cubicAt({ width, data }: GreyImage, u: number, v: number): number {
  const left = Math.floor(u) - 1;
  const top = Math.floor(v) - 1;
  let sum = 0;
  for (let row = 0; row < 4; row++) {
    const at = (top + row) * width + left;
    let across = 0;
    for (let column = 0; column < 4; column++)
      across += cubic(Math.abs(u - left - column)) * data[at + column];
    sum += cubic(Math.abs(v - top - row)) * across;
  }
  return sum;
}

function cubic(distance: number): number {
  if (distance <= 1) return ((SLOPE + 2) * distance - (SLOPE + 3)) * distance * distance + 1;
  return distance < 2 ? SLOPE * (((distance - 5) * distance + 8) * distance - 4) : 0;
}

function withinThreePx(h: readonly number[], a: Features, b: Features, matches: Int32Array): number {
  let near = 0;
  for (let k = 0; k < matches.length; k += 2) {
    const [x, y] = [a.x[matches[k]], a.y[matches[k]]];
    const w = h[6] * x + h[7] * y + h[8];
    const dx = (h[0] * x + h[1] * y + h[2]) / w - b.x[matches[k + 1]];
    const dy = (h[3] * x + h[4] * y + h[5]) / w - b.y[matches[k + 1]];
    if (Math.hypot(dx, dy) < 3) near++;
  }
  return near;
}
