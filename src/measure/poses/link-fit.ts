import { essentialOf, type Motion, motionBetween } from "../geometry/essential.js";
import { sampsonSquared } from "../geometry/sampson.js";
import { depthsOf } from "../geometry/triangulate.js";
import type { Mat3, Vec3 } from "../geometry/vector.js";
import { upperMedian } from "../statistics.js";
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
/** Matches of a link that alone holds a photo: fewer may be a chance likeness, and nothing else confirms them. */
const FEWEST_OF_ONLY_LINK = 60;

/**
 * Photos whose place contradicts most of what they share with others, or rests on one weak link, by number: a solution that is
 * right elsewhere may be tens of degrees off there.
 */
export function contradictedPhotos(
  count: number,
  { tried }: SolvedSet,
  fits: readonly LinkFit[],
): Set<number> {
  const sums = Array.from({ length: count }, () => ({ links: 0, matches: 0, fitting: 0 }));
  const turnedOff = new Set(tried.filter(isContradicted).map(({ i, j }) => `${i} ${j}`));
  for (const { i, j, matches, fitting } of fits) {
    // Where the turn itself is contradicted, matches on the line fit by chance.
    const fit = turnedOff.has(`${i} ${j}`) ? 0 : fitting;
    for (const photo of [i, j]) {
      sums[photo].links++;
      sums[photo].matches += matches;
      sums[photo].fitting += fit;
    }
  }
  const linked = sums.filter(({ links }) => links > 0);
  const usual = upperMedian(linked.map(({ matches, fitting }) => fitting / matches));
  const contradicted = new Set<number>();
  sums.forEach(({ links, matches, fitting }, photo) => {
    if (links === 0) return;
    const weak = links === 1 && matches < FEWEST_OF_ONLY_LINK;
    if (weak || fitting < FITTING_RATIO * usual * matches) contradicted.add(photo);
  });
  return contradicted;
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
