/** Whole synthetic sets: photos and verified pairs as the pipeline hands them over, with the truth beside them. */

import { directionsAround } from "#goodgate/measure/coverage/directions.js";
import type { AroundPair, AroundPhoto } from "#goodgate/measure/poses/solved-set.js";
import {
  FOCAL_35_MM,
  match,
  type Photo,
  photograph,
  randomSource,
  scene,
  type TrueCamera,
} from "./synthetic.js";

export interface SyntheticSet {
  readonly photos: readonly AroundPhoto[];
  readonly pairs: readonly AroundPair[];
  readonly cameras: readonly TrueCamera[];
}

export interface SetOptions {
  readonly wall?: number;
  readonly noisePx?: number;
  readonly outlierRatio?: number;
  readonly most?: number;
  /** What EXIF claims over what is true. */
  readonly focalFactor?: number;
  readonly partners?: number;
  /** Radial distortion of the lens. */
  readonly k1?: number;
  /** Points on the table: 0 for a plain one. */
  readonly table?: number;
  /** The lens, as a 35 mm equivalent; FOCAL_35_MM unless given. EXIF states `focalFactor` times as much. */
  readonly focal35Mm?: number;
}

/** Photographs the scene and matches every pair that shares enough, at most the best few partners a photo. */
export function synthesise(
  cameras: readonly TrueCamera[],
  seed: number,
  options: SetOptions = {},
): SyntheticSet {
  const random = randomSource(seed);
  const focal35Mm = options.focal35Mm ?? FOCAL_35_MM;
  const points = scene(random, {
    wall: options.wall ?? 0,
    ...(options.table === undefined ? {} : { table: options.table }),
  });
  const photos = cameras.map((camera) =>
    photograph(points, camera, random, {
      noisePx: options.noisePx ?? 0.5,
      k1: options.k1 ?? 0,
      focal35Mm,
    }),
  );
  const found: (AroundPair & { strength: number })[] = [];
  for (let i = 0; i < photos.length; i++) {
    for (let j = i + 1; j < photos.length; j++) {
      const inliers = match(points, photos[i], photos[j], random, {
        most: options.most ?? 300,
        outlierRatio: options.outlierRatio ?? 0.08,
      });
      if (inliers.length >= 60) found.push({ i, j, inliers, strength: inliers.length });
    }
  }
  const keep = options.partners ?? 8;
  const best = new Set<(typeof found)[number]>();
  for (let i = 0; i < photos.length; i++) {
    const own = found.filter((pair) => pair.i === i || pair.j === i).sort((p, q) => q.strength - p.strength);
    for (const pair of own.slice(0, keep)) best.add(pair);
  }
  return {
    photos: photos.map((photo) => aroundPhoto(photo, focal35Mm * (options.focalFactor ?? 1))),
    pairs: found.filter((pair) => best.has(pair)).map(({ i, j, inliers }) => ({ i, j, inliers })),
    cameras,
  };
}

function aroundPhoto({ widthPx, heightPx, x, y }: Photo, focalLength35Mm: number): AroundPhoto {
  return { features: { widthPx, heightPx, x, y }, focalLength35Mm };
}

/** True directions around the origin, azimuth 0 at the first of the given photos. */
export function trueDirections(cameras: readonly TrueCamera[], photos: readonly number[]) {
  return directionsAround(
    photos.map((photo) => cameras[photo].centre),
    [0, 0, 0],
    [0, 0, 1],
  );
}

/** The set in another order. */
export function shuffled<T>(items: readonly T[], random: () => number): T[] {
  const out = [...items];
  for (let i = out.length - 1; i > 0; i--) {
    const j = Math.floor(random() * (i + 1));
    [out[i], out[j]] = [out[j], out[i]];
  }
  return out;
}
