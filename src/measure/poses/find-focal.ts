import { essentialOf, motionBetween } from "../geometry/essential.js";
import { sampsonSquared } from "../geometry/sampson.js";
import { upperMedian } from "../statistics.js";
import type { Bundle } from "./bundle.js";
import { type Intrinsics, intrinsicsOf } from "./intrinsics.js";
import { raysOf } from "./rays.js";
import { type AroundPair, type AroundPhoto, isLink } from "./solved-set.js";
import { linksWithin, sharedMatches, solveWindow, type Window, windowFrom } from "./windows.js";

/**
 * Focal lengths that the search starts from: a window solved with one up to 1.6 times too long or too short still comes to
 * the right one (measured on synthetic and rendered windows), so these serve lenses of 18 to 350 mm.
 */
const STARTS_35_MM = [28, 55, 110, 220];
/** Spread over the set: two that agree outvote one that came to rest beside the truth. Each more costs every set without EXIF a third more. */
const WINDOWS = 3;
/** As good as nothing is known of the logarithm of the focal length beforehand: a factor of e is one deviation. */
const LOG_FOCAL_SIGMA = 1;
/**
 * Focal lengths this near to each other (in their logarithm) are one: windows before 180 mm come to 150 to 240, and the
 * whole set settles the rest.
 */
const ALIKE = 0.4;
/** Another focal length that fits as well as this times the best is not ruled out. */
const RIVAL = 1.1;
/** Share of a window's matches by whose fit it is judged: as many may be wrong as are left. */
const FITTING_RATIO = 0.75;
/** One window alone may have come to rest beside the truth. */
const FEWEST_AGREEING = 2;

/** What a window says of the focal length. */
interface Estimate {
  readonly focal35Mm: number;
  /** Distance from their epipolar lines within which FITTING_RATIO of the window's matches lie, px. */
  readonly misfitPx: number;
}

/**
 * The focal length of photos that state none, from the points they share: windows of neighbouring photos are solved with
 * a free focal length from several starts each, and of each window the solution counts that leaves the least misfit. Two
 * photos aimed at one point hardly tell the focal length, and a whole ring solved with a wrong one breaks somewhere and
 * stays broken; between them lies a way of some tens of degrees, where nothing has to close and the path of each point in
 * the picture tells how far the camera turned.
 *
 * @returns 35 mm equivalent; undefined where too few photos are connected, or they do not tell: another focal length fits
 * as well, or windows disagree.
 */
export function findFocal(photos: readonly AroundPhoto[], pairs: readonly AroundPair[]): number | undefined {
  // Poses made elsewhere were made with the focal length assumed.
  const links = pairs.filter(isLink).map(({ pose: _, ...link }) => link);
  const solvers = windowsOf(photos.length, links).map((window) => {
    const own = linksWithin(window, links);
    const some = window.map((photo) => photos[photo]);
    return (start35Mm: number) => estimate(some, own, start35Mm);
  });
  const windows: Estimate[][] = [];
  for (const solve of solvers) windows.push(bestFirst(startsAfter(windows[0]).map(solve)));
  const bests = windows.flatMap(([best]) => (best ? [best.focal35Mm] : []));
  return (
    agreed(windows) ??
    agreed(windows.map((own, w) => bestFirst([...own, ...[...STARTS_35_MM, ...bests].map(solvers[w])])))
  );
}

/** Once a window is solved from all starts, others need only say whether they agree with what it found, or with its rival. */
function startsAfter(first: readonly Estimate[] | undefined): readonly number[] {
  const [best] = first ?? [];
  if (!first || !best) return STARTS_35_MM;
  const rival = first.find(({ focal35Mm }) => !alike(focal35Mm, best.focal35Mm));
  return [best.focal35Mm, ...(rival ? [rival.focal35Mm] : [])];
}

function bestFirst(estimates: readonly (Estimate | undefined)[]): Estimate[] {
  return estimates.filter((estimate) => estimate !== undefined).sort((p, q) => p.misfitPx - q.misfitPx);
}

function alike(one: number, other: number): boolean {
  return Math.abs(Math.log(one / other)) < ALIKE;
}

/** The focal length that two windows or more come to, each of which rules all others out. */
function agreed(windows: readonly (readonly Estimate[])[]): number | undefined {
  const sure = windows.flatMap(([best, ...others]) => {
    const rivals = others.filter(
      ({ focal35Mm, misfitPx }) => !alike(focal35Mm, best.focal35Mm) && misfitPx < RIVAL * best.misfitPx,
    );
    return best !== undefined && rivals.length === 0 ? [Math.log(best.focal35Mm)] : [];
  });
  const middle = upperMedian(sure);
  const agreeing = sure.filter((log) => Math.abs(log - middle) < ALIKE);
  if (agreeing.length < FEWEST_AGREEING) return undefined;
  return Math.exp(middle);
}

/** Photos of a window and their links, solved together with the focal length that suits them best. */
function estimate(
  photos: readonly AroundPhoto[],
  links: readonly AroundPair[],
  start35Mm: number,
): Estimate | undefined {
  const cameras = photos.map(({ features }) => intrinsicsOf(features.widthPx, features.heightPx, start35Mm));
  const bundle = solveWindow(photos, links, cameras, LOG_FOCAL_SIGMA);
  if (!bundle) return undefined;
  const misfitPx = misfitOf(photos, links, cameras, bundle);
  return { focal35Mm: start35Mm * bundle.focalFactor, misfitPx };
}

/** How well all matches fit the cameras found, those of links left out on the way too: the same for every solution. */
function misfitOf(
  photos: readonly AroundPhoto[],
  links: readonly AroundPair[],
  cameras: readonly Intrinsics[],
  { cameras: placed, focalFactor, k1 }: Bundle,
): number {
  const found = cameras.map((camera) => ({ ...camera, focalPx: camera.focalPx * focalFactor }));
  const distances = links.flatMap(({ i, j, inliers }) => {
    const e = essentialOf(motionBetween(placed[i], placed[j]));
    const rays = raysOf(photos[i].features, photos[j].features, inliers, found[i], found[j]);
    for (let k = 0; k < rays.length; k += 2) {
      const bend = 1 + k1 * (rays[k] ** 2 + rays[k + 1] ** 2);
      rays[k] /= bend;
      rays[k + 1] /= bend;
    }
    return Array.from({ length: rays.length >> 2 }, (_, n) => {
      const [xa, ya, xb, yb] = rays.subarray(4 * n, 4 * n + 4);
      return found[i].focalPx * Math.sqrt(sampsonSquared(e, xa, ya, xb, yb));
    });
  });
  return Float64Array.from(distances).sort()[Math.floor(FITTING_RATIO * distances.length)];
}

/** Windows apart from each other, each around the photo that shares most with others. */
function windowsOf(count: number, links: readonly AroundPair[]): Window[] {
  const shared = sharedMatches(count, links);
  const strength = shared.map((own) => [...own.values()].reduce((sum, n) => sum + n, 0));
  const roots = new Set([...strength.keys()].sort((p, q) => strength[q] - strength[p] || p - q));
  const windows: Window[] = [];
  for (const root of roots) {
    const window = windowFrom([root], shared);
    if (!window) continue;
    windows.push(window);
    for (const photo of window) roots.delete(photo);
    if (windows.length === WINDOWS) break;
  }
  return windows;
}
