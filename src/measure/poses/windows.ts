import { upperMedian } from "../statistics.js";
import { affineCameras } from "./affine.js";
import { adjustBundle, type Bundle } from "./bundle.js";
import type { Intrinsics } from "./intrinsics.js";
import { raysOfTracks } from "./refine-set.js";
import { solveRotations } from "./rotations.js";
import { type AroundPair, type AroundPhoto, limitOf, solveSet } from "./solved-set.js";
import { tracksOf } from "./tracks.js";

/** A few photos that share much, solved on their own: their places in the set, ascending. */
export type Window = readonly number[];

/**
 * Photos of a window: six that share most turn by 35 degrees and more in common walks, and points followed along such a way
 * tell turns from steps, and the focal length to some percent. Longer ways tell more, but bend too much where the start is
 * wrong: on a rendered plaster toad before 180 mm, 23 of 23 windows of six came out right, 22 of seven and 17 of nine.
 */
const WINDOW_PHOTOS = 6;
/** With twice as many, of which fewer are seen in most of its photos, fewer windows came out right (17 of 23). */
const POINTS_PER_PHOTO = 60;
const STEPS = 20;
/** Radians. Phones' main cameras before a subject that fills a third of the picture's width reach .08. */
const VAGUE_TURN = 0.1;

/** How many matches each photo shares with each other, by photo number. */
export type Shared = readonly ReadonlyMap<number, number>[];

export function sharedMatches(count: number, links: readonly AroundPair[]): Shared {
  const shared: Map<number, number>[] = Array.from({ length: count }, () => new Map());
  for (const { i, j, inliers } of links) {
    shared[i].set(j, inliers.length >> 1);
    shared[j].set(i, inliers.length >> 1);
  }
  return shared;
}

/**
 * The window that grows from one or more photos, each time by the photo that shares most matches with it.
 *
 * @returns undefined where fewer photos are connected.
 */
export function windowFrom(roots: readonly number[], shared: Shared): Window | undefined {
  const own = new Set(roots);
  while (own.size < WINDOW_PHOTOS) {
    const sums = new Map<number, number>();
    for (const photo of own)
      for (const [other, matches] of shared[photo])
        if (!own.has(other)) sums.set(other, (sums.get(other) ?? 0) + matches);
    const [next] = [...sums].sort(([p, m], [q, n]) => n - m || p - q);
    if (!next) return undefined;
    own.add(next[0]);
  }
  return [...own].sort((p, q) => p - q);
}

/**
 * Whether photos see so narrow a view that two of them hardly tell how far the camera turned: turning moves points of
 * depth z by z times the turn and shows it from its other side by z^2 only, so it is told to within noise over z^2.
 */
export function isNarrow(
  photos: readonly AroundPhoto[],
  links: readonly AroundPair[],
  cameras: readonly Intrinsics[],
): boolean {
  const vague = links.map(({ i, inliers }) => {
    const { x, y } = photos[i].features;
    const own = Array.from({ length: inliers.length >> 1 }, (_, k) => inliers[2 * k]);
    const spread =
      (variance(own.map((k) => x[k])) + variance(own.map((k) => y[k]))) / cameras[i].focalPx ** 2;
    return limitOf(photos[i], cameras[i]) / spread;
  });
  return upperMedian(vague) > VAGUE_TURN;
}

function variance(values: readonly number[]): number {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length;
}

/** Links between photos of a window, the photos by their place in it. */
export function linksWithin(window: Window, links: readonly AroundPair[]): AroundPair[] {
  const place = new Map(window.map((photo, k) => [photo, k]));
  return links.flatMap((link) => {
    const i = place.get(link.i);
    const j = place.get(link.j);
    return i === undefined || j === undefined ? [] : [{ ...link, i, j }];
  });
}

/**
 * A window's photos and their links solved together, all of them in one bundle.
 *
 * @param logFocalSigma standard deviation of what is known of the logarithm of the focal length; undefined where it is held.
 * @returns undefined where not all photos are connected.
 */
export function solveWindow(
  photos: readonly AroundPhoto[],
  links: readonly AroundPair[],
  cameras: readonly Intrinsics[],
  logFocalSigma?: number,
): Bundle | undefined {
  const set = solveSet(photos, links, cameras, solveRotations);
  const [part] = set.parts;
  if (part.length < photos.length) return undefined;
  const points = photos.map(({ features }) => features);
  const tracks = tracksOf(
    points.map(({ x }) => x.length),
    set.links,
    POINTS_PER_PHOTO,
  );
  const rays = raysOfTracks(tracks, points, cameras);
  const first = set.rotations.map((rotation, k) => ({ rotation, centre: set.centres[k] }));
  const options = {
    limit: set.limit,
    steps: STEPS,
    freeFocal: logFocalSigma !== undefined,
    ...(logFocalSigma !== undefined && { logFocalSigma }),
  };
  const starts = isNarrow(photos, links, cameras)
    ? [first, ...affineCameras(first, set.depths, tracks, rays)]
    : [first];
  const bundles = starts
    .map((start) => adjustBundle(start, tracks, rays, options))
    .filter((one) => one !== undefined);
  return bundles.sort((p, q) => p.residual - q.residual)[0];
}
