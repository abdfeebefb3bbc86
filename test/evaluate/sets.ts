import { existsSync } from "node:fs";
import { join } from "node:path";
import sharp from "sharp";
import type { LinearImage } from "#goodgate/demo/faults.js";
import {
  cleanDemo,
  type Fault,
  handHeld,
  planSet,
  propNames,
  renderLinear,
  type SetOptions,
  spoil,
} from "#goodgate/demo/index.js";
import { createRandom, type Random } from "#goodgate/demo/random.js";
import type { RgbImage } from "#goodgate/types/pixels.js";
import { lineariseRgb } from "../support/linear.js";

/** What was put into a photo on purpose. */
export interface Injected {
  readonly kind: "good" | "defocus" | "motion" | "exposure" | "blown" | "stray";
  /** Sigma or length in px at 1920, or stops. */
  readonly size?: number;
  /** One of a run of 3 to 5 soft photos. */
  readonly inRun?: boolean;
}

/** A set to evaluate: clean pictures in linear light on demand, and what is put into each. */
export interface EvaluationSet {
  readonly name: string;
  readonly origin: "rendered" | "warped";
  readonly injected: readonly Injected[];
  photo(index: number): Promise<RgbImage>;
}

const RENDERED_SIZE = { widthPx: 1280, heightPx: 960 };
/** A window over a real photograph takes this share of it, and this many pixels at the most. */
const WINDOW = { share: 0.72, width: 1440, height: 1080 };

/** About a fifth of the photos get a fault; soft ones singly and in runs of 3 to 5. */
export function inject(count: number, random: Random): Injected[] {
  const injected: Injected[] = Array.from({ length: count }, () => ({ kind: "good" }));
  const free = (from: number, to: number) =>
    injected.slice(Math.max(0, from - 1), to + 2).every(({ kind }) => kind === "good");
  const soft = (): Injected =>
    random.uniform() < 0.5
      ? { kind: "defocus", size: 2 + 2 * random.uniform() }
      : { kind: "motion", size: 9 + 9 * random.uniform() };
  const run = 3 + Math.floor(3 * random.uniform());
  const start = 4 + Math.floor((count - run - 8) * random.uniform());
  for (let i = start; i < start + run; i++) injected[i] = { ...soft(), inRun: true };
  const singles: Injected[] = [
    soft(),
    soft(),
    soft(),
    ...[1, -1, 1, -1].map(
      (sign): Injected => ({ kind: "exposure", size: sign * (0.67 + 0.6 * random.uniform()) }),
    ),
    { kind: "blown", size: 3 },
    { kind: "blown", size: 2.7 },
    { kind: "stray" },
  ];
  for (const single of singles) {
    for (let tries = 0; tries < 200; tries++) {
      const at = Math.floor(count * random.uniform());
      if (!free(at, at)) continue;
      injected[at] = single;
      break;
    }
  }
  return injected;
}

/** The fault as the renderer knows it. */
function faultsOf({ kind, size = 0 }: Injected, random: Random): Fault[] {
  if (kind === "defocus") return [{ kind, sigmaPx: size, shape: "gaussian" }];
  if (kind === "motion") return [{ kind, lengthPx: size, directionDeg: 180 * random.uniform() }];
  if (kind === "exposure" || kind === "blown") return [{ kind: "exposure", stops: size, said: false }];
  return [];
}

/** Rendered sets: props, heights, lamps and seeds differ. */
export function renderedSet(
  seed: number,
  injected?: readonly Injected[],
  options: Partial<SetOptions> = {},
): EvaluationSet {
  const random = createRandom(seed, 4711);
  const perRing = 20;
  const subject = propNames[seed % propNames.length];
  const base: SetOptions = {
    ...cleanDemo,
    ...RENDERED_SIZE,
    seed,
    subject,
    jitter: handHeld,
    lamps: (["three", "two opposite", "overcast"] as const)[seed % 3],
    rings: [8, 28, 50].map((elevationDeg, ring) => ({
      elevationDeg: elevationDeg + 4 * random.uniform(),
      photos: perRing,
      startDeg: 17 * ring,
      spanDeg: 360,
    })),
    ...options,
  };
  const plan = planSet(base);
  const marks = injected ?? inject(plan.photos.length, random);
  const other = planSet({
    ...base,
    seed: seed + 1000,
    subject: propNames[(seed + 1) % propNames.length],
    background: "wall",
  });
  return {
    name: `rendered-${seed}`,
    origin: "rendered",
    injected: marks,
    async photo(index) {
      const stray = marks[index].kind === "stray";
      const { image } = stray ? renderLinear(other, index) : renderLinear(plan, index);
      const photo = plan.photos[index];
      return spoil(image, faultsOf(marks[index], createRandom(seed, index)), {
        iso: base.iso,
        softnessPx: photo.softnessPx,
        exposureStops: photo.ownExposureStops,
        noiseSeed: photo.noiseSeed,
      });
    },
  };
}

/**
 * Real photographs, each of another place, sharp and textured, with a long edge of 1200 px or more: a city at night,
 * flowers, a plant before wallpaper, a crate on a quay.
 */
const BASES = [
  "npm/exif/test/sony-alpha-6000.jpg",
  "deb/usr/share/libjxl-testdata/jxl/flower/flower.png",
  "deb/usr/share/doc/opencv-doc/examples/data/aloeL.jpg",
  "npm/exif-parser/test/starfish.jpg",
];

export function realBases(data: string): string[] {
  return BASES.map((file) => join(data, file)).filter((file) => existsSync(file));
}

/** Walks a window over a real photograph: shifts, turns, zooms and tilts a little from photo to photo. */
export async function warpedSet(seed: number, bases: readonly string[], count = 40): Promise<EvaluationSet> {
  const random = createRandom(seed, 815);
  const file = bases[seed % bases.length];
  const load = async (path: string, longEdge: number) => {
    const { data, info } = await sharp(path)
      .rotate()
      .flatten()
      .toColourspace("srgb")
      .resize({ width: longEdge, height: longEdge, fit: "inside", withoutEnlargement: true })
      .raw()
      .toBuffer({ resolveWithObject: true });
    return lineariseRgb({ width: info.width, height: info.height, data: new Uint8Array(data) });
  };
  const base = await load(file, 3000);
  const size = {
    width: Math.min(WINDOW.width, Math.round(WINDOW.share * base.width)),
    height: Math.min(WINDOW.height, Math.round(WINDOW.share * base.height)),
  };
  const injected = inject(count, random);
  let strayBase: LinearImage | undefined;
  return {
    name: `warped-${seed}`,
    origin: "warped",
    injected,
    async photo(index) {
      const hand = createRandom(seed, index);
      if (injected[index].kind === "stray") strayBase ??= await load(bases[(seed + 1) % bases.length], 2200);
      const source = injected[index].kind === "stray" ? strayBase! : base;
      const view = warp(source, size, (2 * Math.PI * index) / count, hand);
      // How a real photograph was exposed is not ours to say: blown means its middle is half a stop and more over white.
      const mark = injected[index];
      const fault =
        mark.kind === "blown" ? { ...mark, size: stopsToWhite(view) + (mark.size ?? 0) - 2 } : mark;
      return spoil(view, faultsOf(fault, hand), {
        iso: 100,
        softnessPx: Math.abs(hand.normal()) * 0.25,
        exposureStops: 0,
        noiseSeed: 1000 * seed + index,
      });
    },
  };
}

/** Stops that bring the median luminance of the middle of the frame to white. */
function stopsToWhite({ width, height, data }: LinearImage): number {
  const middle: number[] = [];
  for (let y = height >> 2; y < (3 * height) >> 2; y += 4) {
    for (let x = width >> 2; x < (3 * width) >> 2; x += 4) {
      const at = 3 * (y * width + x);
      middle.push(0.2126 * data[at] + 0.7152 * data[at + 1] + 0.0722 * data[at + 2]);
    }
  }
  return -Math.log2(Math.max(1e-4, middle.sort((a, b) => a - b)[middle.length >> 1]));
}

/** One window: bilinear, at about one source pixel a pixel. */
function warp(
  source: LinearImage,
  size: { readonly width: number; readonly height: number },
  phase: number,
  hand: Random,
): LinearImage {
  const { width, height } = size;
  const out = new Float32Array(3 * width * height);
  const fit = Math.min((0.8 * source.width) / width, (0.8 * source.height) / height, 1.15);
  const roomX = source.width - fit * width;
  const roomY = source.height - fit * height;
  const cx = source.width / 2 + 0.4 * roomX * Math.cos(phase);
  const cy = source.height / 2 + 0.4 * roomY * Math.sin(phase);
  const turn = 0.03 * hand.normal();
  const zoom = fit * (1 + 0.02 * hand.normal());
  const tiltX = 0.04 * hand.normal();
  const tiltY = 0.04 * hand.normal();
  const c = zoom * Math.cos(turn);
  const s = zoom * Math.sin(turn);
  for (let y = 0, to = 0; y < height; y++) {
    for (let x = 0; x < width; x++, to += 3) {
      const u = x - width / 2;
      const v = y - height / 2;
      const depth = 1 + (tiltX * u) / width + (tiltY * v) / width;
      const sx = Math.max(0, Math.min(source.width - 1.001, cx + (c * u - s * v) / depth));
      const sy = Math.max(0, Math.min(source.height - 1.001, cy + (s * u + c * v) / depth));
      const ix = Math.floor(sx);
      const iy = Math.floor(sy);
      const fx = sx - ix;
      const fy = sy - iy;
      const a = 3 * (iy * source.width + ix);
      const b = a + 3 * source.width;
      for (let channel = 0; channel < 3; channel++) {
        const top = source.data[a + channel] * (1 - fx) + source.data[a + 3 + channel] * fx;
        const low = source.data[b + channel] * (1 - fx) + source.data[b + 3 + channel] * fx;
        out[to + channel] = top * (1 - fy) + low * fy;
      }
    }
  }
  return { width, height, data: out };
}
