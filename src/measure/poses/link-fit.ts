import { essentialOf, type Motion, motionBetween } from "../geometry/essential.js";
import { sampsonSquared } from "../geometry/sampson.js";
import { depthsOf } from "../geometry/triangulate.js";
import type { Mat3, Vec3 } from "../geometry/vector.js";
import { upperMedian } from "../statistics.js";
import type { Hold } from "./held.js";
import type { Intrinsics } from "./intrinsics.js";
import { raysOf } from "./rays.js";
import { type AroundPair, type AroundPhoto, isContradicted, limitOf, type SolvedSet } from "./solved-set.js";

/** A camera in the world of its part. */
interface PlacedCamera {
  readonly rotation: Mat3;
  readonly centre: Vec3;
}

/** How many of a link's matches the places of its two cameras explain. */
export interface LinkFit {
  readonly i: number;
  readonly j: number;
  readonly matches: number;
  readonly fitting: number;
}

/**
 * Share of a photo's matches that have to fit where it was placed, of what fits of the set's photos usually: .68 at the least
 * on four real sets. Where pictures were cropped, each somewhere else, fewer fit throughout.
 */
const FITTING_RATIO = 0.5;
/** A link with those of its matches that fit where the turn itself is not contradicted: else they lie on the line by chance. */
type SureFit = LinkFit & { readonly sure: number };

/** Photos whose place contradicts most of what they share with others, by number: it may be tens of degrees off. */
export function contradictedPhotos(
  count: number,
  { tried }: SolvedSet,
  fits: readonly LinkFit[],
): Set<number> {
  const sums = Array.from({ length: count }, () => ({ links: 0, matches: 0, fitting: 0 }));
  for (const { i, j, matches, sure } of sureFits(tried, fits)) {
    for (const photo of [i, j]) {
      sums[photo].links++;
      sums[photo].matches += matches;
      sums[photo].fitting += sure;
    }
  }
  const linked = sums.filter(({ links }) => links > 0);
  const usual = upperMedian(linked.map(({ matches, fitting }) => fitting / matches));
  return new Set(
    sums.flatMap(({ links, matches, fitting }, photo) =>
      links > 0 && fitting < FITTING_RATIO * usual * matches ? [photo] : [],
    ),
  );
}

/**
 * What holds photos in one world: links of which most matches fit where the two photos were placed, with how many.
 */
export function holdsOf({ tried }: SolvedSet, fits: readonly LinkFit[]): Hold[] {
  return sureFits(tried, fits).flatMap(({ i, j, matches, sure }) =>
    2 * sure > matches ? [{ i, j, fitting: sure }] : [],
  );
}

function sureFits(tried: SolvedSet["tried"], fits: readonly LinkFit[]): SureFit[] {
  const turnedOff = new Set(tried.filter(isContradicted).map(({ i, j }) => `${i} ${j}`));
  return fits.map((fit) => ({ ...fit, sure: turnedOff.has(`${fit.i} ${fit.j}`) ? 0 : fit.fitting }));
}

/** Rays closer together than this many limits cross anywhere: they do not tell front from behind. */
const CROSSING = 2;

/**
 * Of the matches of each link those that its two cameras, as placed in the whole set, explain: near their epipolar lines, and
 * in front of both. Links that were left out on the way count too, so that a solution cannot look good by leaving out what
 * contradicts it.
 *
 * @param cameras by photo number; undefined where not placed in one world with the others
 * @param k1 radial distortion that the cameras were solved with
 */
export function linkFits(
  photos: readonly AroundPhoto[],
  links: readonly Pick<AroundPair, "i" | "j" | "inliers">[],
  intrinsics: readonly Intrinsics[],
  cameras: readonly (PlacedCamera | undefined)[],
  k1: number,
): LinkFit[] {
  return links.flatMap(({ i, j, inliers }) => {
    const [a, b] = [cameras[i], cameras[j]];
    if (a === undefined || b === undefined) return [];
    const rays = raysOf(photos[i].features, photos[j].features, inliers, intrinsics[i], intrinsics[j]);
    straighten(rays, k1);
    const limit = limitOf(photos[i], intrinsics[i]);
    return [{ i, j, matches: inliers.length >> 1, fitting: fitting(rays, motionBetween(a, b), limit) }];
  });
}

/** Takes the lens's distortion out, to first order. */
function straighten(rays: Float64Array, k1: number): void {
  for (let k = 0; k < rays.length; k += 2) {
    const bend = 1 + k1 * (rays[k] ** 2 + rays[k + 1] ** 2);
    rays[k] /= bend;
    rays[k + 1] /= bend;
  }
}

function fitting(rays: Float64Array, motion: Motion, limit: number): number {
  const e = essentialOf(motion);
  const { inA, inB, parallax } = depthsOf(rays, motion);
  let count = 0;
  for (let n = 0; n < inA.length; n++) {
    const near =
      sampsonSquared(e, rays[4 * n], rays[4 * n + 1], rays[4 * n + 2], rays[4 * n + 3]) <= limit * limit;
    if (near && (parallax[n] < CROSSING * limit || (inA[n] > 0 && inB[n] > 0))) count++;
  }
  return count;
}
