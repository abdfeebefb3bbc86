import type { Mat3, Vec3 } from "../geometry/vector.js";
import { adjustBundle, type Bundle } from "./bundle.js";
import type { Intrinsics } from "./intrinsics.js";
import type { Points } from "./rays.js";
import { type TrackLink, type Tracks, tracksOf } from "./tracks.js";

/** A part of the set as the linear solution left it. */
export interface RoughPart {
  readonly photos: readonly number[];
  readonly rotations: readonly Mat3[];
  readonly centres: readonly Vec3[];
}

export interface RefineSetOptions {
  readonly limit: number;
  readonly freeFocal: boolean;
  /** The start is one of narrow views, whose turns may be wrong by tens of degrees at a place or two. */
  readonly fromAfar?: boolean;
}

/** Points a photo brings: twice as many gain a tenth in accuracy for a quarter more time. */
const POINTS_PER_PHOTO = 100;
const STEPS = 12;
/** From afar the limit must begin so wide that points hold on to both sides of such a place. */
const FAR_WIDENING = 64;
const FAR_STEPS = 20;
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
  const order = linkedOrder(rough.photos, links).slice(0, MOST_REFINED);
  const local = new Map(order.map((photo, k) => [photo, k]));
  const own = links.flatMap(({ i, j, inliers }) => {
    const a = local.get(i);
    const b = local.get(j);
    return a === undefined || b === undefined ? [] : [{ i: a, j: b, inliers }];
  });
  const tracks = tracksOf(
    order.map((photo) => points[photo].x.length),
    own,
    POINTS_PER_PHOTO,
  );
  const rays = raysOfTracks(
    tracks,
    order.map((photo) => points[photo]),
    order.map((photo) => cameras[photo]),
  );
  const start = order.map((photo) => ({ rotation: rough.rotations[photo], centre: rough.centres[photo] }));
  const bundle = adjustBundle(start, tracks, rays, {
    steps: STEPS,
    ...options,
    ...(options.fromAfar && { steps: FAR_STEPS, widening: FAR_WIDENING }),
  });
  if (!bundle) return undefined;
  const refined = [...order].sort((p, q) => p - q);
  const places = refined.map((photo) => local.get(photo) as number);
  return {
    refined,
    bundle: {
      ...bundle,
      cameras: places.map((k) => bundle.cameras[k]),
      depths: places.map((k) => bundle.depths[k]),
    },
  };
}

/** x, y of every observation of the tracks, interleaved: less the principal point, over the focal length. */
export function raysOfTracks(
  { photo, keypoint }: Tracks,
  points: readonly Points[],
  cameras: readonly Intrinsics[],
): Float64Array {
  const rays = new Float64Array(2 * photo.length);
  for (let k = 0; k < photo.length; k++) {
    const { focalPx, centreX, centreY } = cameras[photo[k]];
    rays[2 * k] = (points[photo[k]].x[keypoint[k]] - centreX) / focalPx;
    rays[2 * k + 1] = (points[photo[k]].y[keypoint[k]] - centreY) / focalPx;
  }
  return rays;
}

/** What {@link refineSet} found. */
export type RefinedSet = NonNullable<ReturnType<typeof refineSet>>;

/**
 * Photos of a part from neighbour to neighbour, starting at its least linked: photos that share points stand near each
 * other, which makes the equations quick to solve, and the first ones hang together.
 *
 * @see Cuthill and McKee 1969, "Reducing the bandwidth of sparse symmetric matrices", ACM National Conference (cited from
 * memory).
 */
function linkedOrder(photos: readonly number[], links: readonly TrackLink[]): number[] {
  const neighbours = new Map<number, number[]>(photos.map((photo) => [photo, []]));
  for (const { i, j } of links) {
    if (!neighbours.has(i) || !neighbours.has(j)) continue;
    neighbours.get(i)?.push(j);
    neighbours.get(j)?.push(i);
  }
  const linked = (photo: number): number[] => neighbours.get(photo) ?? [];
  const byLinks = (p: number, q: number): number => linked(p).length - linked(q).length || p - q;
  const reached = new Set<number>();
  for (const root of [...photos].sort(byLinks)) {
    if (reached.has(root)) continue;
    const queue = new Set([root]);
    for (const photo of queue) {
      reached.add(photo);
      for (const next of linked(photo).sort(byLinks)) queue.add(next);
    }
  }
  return [...reached];
}
