import type { Mat3, Vec3 } from "../geometry/vector.js";
import { adjustBundle, type Bundle } from "./bundle.js";
import type { Intrinsics } from "./intrinsics.js";
import type { Points } from "./rays.js";
import { type TrackLink, tracksOf } from "./tracks.js";

/** A part of the set as the linear solution left it. */
export interface RoughPart {
  readonly photos: readonly number[];
  readonly rotations: readonly Mat3[];
  readonly centres: readonly Vec3[];
}

export interface RefineSetOptions {
  readonly limit: number;
  readonly freeFocal: boolean;
}

/** Points a photo brings: twice as many gain a fifth in accuracy for a third more time (test/evaluate/around.ts). */
const POINTS_PER_PHOTO = 70;
const STEPS = 12;
/** Beyond this many photos the normal equations grow slow (their cube); a connected share of the photos is refined. */
export const MOST_REFINED = 120;

/**
 * Refines the cameras of one part together with the points they share.
 *
 * @param rough rotations and centres of all photos, by photo number.
 * @returns one camera a photo of `refined`, in its order; undefined with too few shared points.
 */
export function refineSet(
  points: readonly Points[],
  cameras: readonly Intrinsics[],
  links: readonly TrackLink[],
  rough: RoughPart,
  options: RefineSetOptions,
): { refined: readonly number[]; bundle: Bundle } | undefined {
  const refined = connectedShare(rough.photos, links);
  const local = new Map(refined.map((photo, k) => [photo, k]));
  const own = links.flatMap(({ i, j, inliers }) => {
    const a = local.get(i);
    const b = local.get(j);
    return a === undefined || b === undefined ? [] : [{ i: a, j: b, inliers }];
  });
  const tracks = tracksOf(
    refined.map((photo) => points[photo].x.length),
    own,
    POINTS_PER_PHOTO,
  );
  const rays = new Float64Array(2 * tracks.photo.length);
  for (let k = 0; k < tracks.photo.length; k++) {
    const photo = refined[tracks.photo[k]];
    const { focalPx, centreX, centreY } = cameras[photo];
    rays[2 * k] = (points[photo].x[tracks.keypoint[k]] - centreX) / focalPx;
    rays[2 * k + 1] = (points[photo].y[tracks.keypoint[k]] - centreY) / focalPx;
  }
  const start = refined.map((photo) => ({ rotation: rough.rotations[photo], centre: rough.centres[photo] }));
  const bundle = adjustBundle(start, tracks, rays, { ...options, steps: STEPS });
  return bundle && { refined, bundle };
}

/** What {@link refineSet} found. */
export type RefinedSet = NonNullable<ReturnType<typeof refineSet>>;

/** All photos of a part, or of a large one the first that are reached from its middle. */
function connectedShare(photos: readonly number[], links: readonly TrackLink[]): number[] {
  if (photos.length <= MOST_REFINED) return [...photos];
  const neighbours = new Map<number, number[]>(photos.map((photo) => [photo, []]));
  for (const { i, j } of links) {
    neighbours.get(i)?.push(j);
    neighbours.get(j)?.push(i);
  }
  const reached = new Set([photos[photos.length >> 1]]);
  for (const photo of reached) {
    for (const next of neighbours.get(photo) ?? []) if (reached.size < MOST_REFINED) reached.add(next);
  }
  return [...reached].sort((p, q) => p - q);
}
