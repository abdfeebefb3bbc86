/**
 * Measured sets for the evaluation of the light: every mixture of one ring, with its truth. What takes long (drawing,
 * keypoints, matches) is kept in a cache folder, so that the measures of the light can be tried again in seconds.
 */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { deserialize, serialize } from "node:v8";
import type { PropName } from "#goodgate/demo/props/index.js";
import { type AroundMeasures, measureAround } from "#goodgate/measure/coverage/around.js";
import type { Region } from "#goodgate/measure/light/region.js";
import { measurePair } from "#goodgate/measure/pair/pair.js";
import { linkPhotos } from "#goodgate/measure/pairing/link.js";
import { voteForPairs } from "#goodgate/measure/pairing/select-pairs.js";
import { measurePhoto } from "#goodgate/measure/photo/photo.js";
import { solvedMeasures } from "#goodgate/measure/set/solved.js";
import { regionOf } from "#goodgate/measure/subject/region.js";
import { subjectOf } from "#goodgate/measure/subject/subject.js";
import type { Exif } from "#goodgate/types/exif.js";
import type { SolvedMeasures } from "#goodgate/types/facts.js";
import type { PairFacts } from "#goodgate/types/pair.js";
import type { Cells, Features, MeasuredPhoto } from "#goodgate/types/photo.js";
import {
  halved,
  litRing,
  luminanceAt,
  type Mixture,
  mix,
  RING_PHOTOS,
  regionOfMask,
  shoot,
  subjectLuminances,
} from "./light-scenes.js";

/** How the camera sets its exposure, and what the file says of it. */
export type Exposure = "fixed" | "auto, no EXIF";

/** A set that is measured as an audit would. `after` replaces the mixture from the middle of the walk on. */
export interface WholeSet {
  readonly name: string;
  readonly mixture: Mixture;
  readonly after?: Mixture;
  readonly exposure: Exposure;
}

/** Gain of the glossy picture's highlights over the renderer's own: over 5 % of every prop then. */
const GLOSS_GAIN = 4;
const GLOSSY: Mixture = [0, 0, 0, 0, 1 - GLOSS_GAIN, GLOSS_GAIN];

/** Only the subject's brightness is looked at here, with the true region, direction and exposure. */
export const BRIGHTNESS_SETS: Readonly<Record<string, Mixture>> = {
  "one lamp, dark arena": [1, -0.07, 0, 0, 0, 0],
  "one lamp": [1, 0, 0, 0, 0, 0],
  "one lamp, lit arena": [1, 0.36, 0, 0, 0, 0],
  "one lamp, bright arena": [1, 1.36, 0, 0, 0, 0],
  overcast: [0, 1, 0, 0, 0, 0],
  "two opposite lamps, equal": [0, 0, 1, 0, 0, 0],
  "two opposite lamps, 0.5 stop apart": [0, 0, 0.7, 0.3, 0, 0],
  "two opposite lamps, 1 stop apart": [0, 0, 0.5, 0.5, 0, 0],
  "three lamps": [0, 0, 0, 0, 1, 0],
};

export const WHOLE_SETS: readonly WholeSet[] = [
  { name: "one lamp", mixture: [1, 0, 0, 0, 0, 0], exposure: "fixed" },
  { name: "one lamp, lit arena", mixture: [1, 0.36, 0, 0, 0, 0], exposure: "auto, no EXIF" },
  { name: "two opposite lamps", mixture: [0, 0, 0.7, 0.3, 0, 0], exposure: "auto, no EXIF" },
  { name: "three lamps", mixture: [0, 0, 0, 0, 1, 0], exposure: "fixed" },
  { name: "three lamps, glossy", mixture: GLOSSY, exposure: "fixed" },
  {
    name: "second lamp out half way",
    mixture: [0, 0, 1, 0, 0, 0],
    after: [0, 0, 0, 1, 0, 0],
    exposure: "fixed",
  },
];

/** One photo's truth. */
export interface PhotoTruth {
  readonly azimuthDeg: number;
  /** log2 of the median luminance of the subject, exposure taken out. */
  readonly stops: number;
  /** Share of the subject's pixels that a highlight brightens by 0.5 stop or more. */
  readonly highlightRatio: number;
}

export interface MeasuredWhole {
  readonly photos: readonly (MeasuredPhoto & { readonly features: Features; readonly cells: Cells })[];
  readonly trueRegions: readonly Region[];
  readonly regions: readonly (Region | undefined)[];
  readonly pairs: readonly {
    readonly a: number;
    readonly b: number;
    readonly inliers: Int32Array;
    readonly facts: Omit<PairFacts, "a" | "b">;
  }[];
  readonly solved: readonly SolvedMeasures[];
  readonly directions: readonly ({ azimuthDeg: number; elevationDeg: number } | undefined)[];
  readonly truth: readonly PhotoTruth[];
}

export interface MeasuredRing {
  readonly subject: PropName;
  readonly seed: number;
  readonly brightness: Readonly<
    Record<string, readonly { cells: Cells; region: Region; truth: PhotoTruth }[]>
  >;
  readonly whole: Readonly<Record<string, MeasuredWhole>>;
}

/** A ring with all its sets, from the cache where it is there. */
export async function measuredRing(subject: PropName, seed: number, folder: string): Promise<MeasuredRing> {
  const path = join(folder, `${subject}-${seed}.bin`);
  if (existsSync(path)) return deserialize(readFileSync(path)) as MeasuredRing;
  const ring = await measureRing(subject, seed);
  mkdirSync(folder, { recursive: true });
  writeFileSync(path, serialize(ring));
  return ring;
}

/** Brightness that the metering aims at: linear level of the subject's 90th percentile, and mean of the whole frame. */
const FIXED_LEVEL = 0.35;
const AUTO_LEVEL = 0.16;

export async function measureRing(
  subject: PropName,
  seed: number,
  wholeSets: readonly WholeSet[] = WHOLE_SETS,
): Promise<MeasuredRing> {
  const ring = litRing(subject, seed);
  const quarters = [0, 6, 12, 18].map((index) => ring.pose(index));
  // Fixed exposures are set so that the brightest side of the subject just keeps its texture.
  const brightest = (mixture: Mixture): number =>
    Math.max(
      ...quarters.map(({ lights, mask }) => {
        const sorted = subjectLuminances(mix(lights, mixture), mask);
        return sorted[Math.floor(0.9 * sorted.length)];
      }),
    );
  const gains = new Map<string, number>();
  const gainOf = (mixture: Mixture): number => {
    const key = mixture.join();
    const gain = gains.get(key) ?? FIXED_LEVEL / brightest(mixture);
    gains.set(key, gain);
    return gain;
  };

  const brightness: Record<string, { cells: Cells; region: Region; truth: PhotoTruth }[]> = {};
  const shots = wholeSets.map((): Shot[] => []);
  for (let index = 0; index < RING_PHOTOS; index++) {
    const pose = index % 6 === 0 ? quarters[index / 6] : ring.pose(index);
    const azimuthDeg = ring.azimuthDeg[index];
    for (const [name, mixture] of Object.entries(BRIGHTNESS_SETS)) {
      if (wholeSets !== WHOLE_SETS) break;
      const image = halved(mix(pose.lights, mixture, gainOf(mixture)));
      const mask = halvedMask(pose.mask, ring.plan.options.widthPx);
      const cells = plain(measurePhoto(shoot(image, 1000 * seed + index), 1).cells);
      brightness[name] ??= [];
      brightness[name].push({
        cells,
        region: regionOfMask(mask, image.width, image.height, cells),
        truth: { azimuthDeg, stops: medianStops(image, mask), highlightRatio: 0 },
      });
    }
    for (const [k, { mixture, after, exposure }] of wholeSets.entries()) {
      const used = after !== undefined && index >= RING_PHOTOS / 2 ? after : mixture;
      const image = mix(pose.lights, used, gainOf(mixture));
      const stops = medianStops(image, pose.mask);
      const gain = exposure === "fixed" ? 1 : AUTO_LEVEL / meanLuminance(image);
      for (let i = 0; i < image.data.length; i++) image.data[i] *= gain;
      const { features, cells, ...measured } = measurePhoto(shoot(image, 2000 * seed + 100 * k + index), 1);
      const exif: Exif =
        exposure === "fixed"
          ? { ev100: 6.6, exposureMode: "manual", whiteBalance: "manual", hasLocation: false }
          : { hasLocation: false };
      shots[k].push({
        photo: {
          file: `${String(index + 1).padStart(3, "0")}.jpg`,
          contentHash: "",
          exif: { focalLength35Mm: 28, ...exif },
          ...measured,
          features: plain(features),
          cells: plain(cells),
        },
        region: regionOfMask(pose.mask, image.width, image.height, cells),
        truth: {
          azimuthDeg,
          stops,
          highlightRatio: mixture === GLOSSY ? highlightRatio(pose) : 0,
        },
      });
    }
  }
  const whole: Record<string, MeasuredWhole> = {};
  for (const [k, { name }] of wholeSets.entries()) whole[name] = await measureWhole(shots[k]);
  return { subject, seed, brightness, whole };
}

interface Shot {
  readonly photo: MeasuredPhoto & { features: Features; cells: Cells };
  readonly region: Region;
  readonly truth: PhotoTruth;
}

/** What an audit does between the photos and the light. */
async function measureWhole(shots: readonly Shot[]): Promise<MeasuredWhole> {
  const photos = shots.map(({ photo }) => photo);
  const { compared, comparedWith } = await linkPhotos(
    photos.length,
    Promise.resolve(voteForPairs(photos.map(({ features }) => features))),
    async (candidates) =>
      candidates.map(({ a, b }) => measurePair(photos[a].features, photos[b].features, 1)),
    ({ facts }) => facts.verifiedMatches > 0,
  );
  const pairs = compared.map(({ a, b, result }) => ({ a, b, ...result }));
  const around: AroundMeasures = measureAround(
    photos.map(({ features, exif }) => ({ features, focalLength35Mm: exif.focalLength35Mm })),
    pairs.map(({ a, b, inliers, facts }) => ({ i: a, j: b, inliers, verifiedRatio: facts.verifiedRatio })),
  );
  const { views } = subjectOf(
    photos.map(({ tiles }) => tiles),
    (photo) => photos[photo],
    pairs.map(({ a, b, inliers }) => ({ i: a, j: b, inliers, comparable: true })),
    around.parts,
  );
  const cameras = new Map(around.parts[0]?.cameras.map((camera) => [camera.photo, camera]));
  return {
    photos,
    trueRegions: shots.map(({ region }) => region),
    regions: views.map(({ region }) => (region.source === "geometry" ? regionOf(region) : undefined)),
    pairs,
    solved: solvedMeasures(
      photos.map(({ measures }) => measures),
      pairs,
      comparedWith,
    ),
    directions: photos.map((_, i) => cameras.get(i)),
    truth: shots.map(({ truth }) => truth),
  };
}

function medianStops(image: ReturnType<typeof mix>, mask: Uint8Array): number {
  const sorted = subjectLuminances(image, mask);
  return Math.log2(sorted[sorted.length >> 1]);
}

function meanLuminance(image: ReturnType<typeof mix>): number {
  const pixels = image.width * image.height;
  let sum = 0;
  for (let p = 0; p < pixels; p++) sum += Math.min(1, luminanceAt(image, p));
  return sum / pixels;
}

/** Share of the subject that the highlights of the glossy mixture brighten by half a stop. */
function highlightRatio({ lights, mask }: ReturnType<ReturnType<typeof litRing>["pose"]>): number {
  const glossy = mix(lights, GLOSSY);
  let bright = 0;
  let all = 0;
  for (let p = 0; p < mask.length; p++) {
    if (mask[p] < 255) continue;
    all++;
    if (luminanceAt(glossy, p) > Math.SQRT2 * luminanceAt(lights[4], p)) bright++;
  }
  return bright / all;
}

function halvedMask(mask: Uint8Array, width: number): Uint8Array {
  const w = width >> 1;
  const h = Math.floor(mask.length / width) >> 1;
  return Uint8Array.from({ length: w * h }, (_, i) => {
    const at = 2 * Math.floor(i / w) * width + 2 * (i % w);
    return (mask[at] + mask[at + 1] + mask[at + width] + mask[at + width + 1]) / 4;
  });
}

/** Shared memory cannot be written to a file. */
function plain<T extends object>(arrays: T): T {
  return Object.fromEntries(
    Object.entries(arrays).map(([name, value]) => [
      name,
      ArrayBuffer.isView(value) ? (value as Uint8Array).slice() : value,
    ]),
  ) as T;
}
