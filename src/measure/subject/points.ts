import type { Points } from "../around/rays.js";
import { type TrackLink, tracksOf } from "../around/tracks.js";
import { nearestPointToRays } from "../geometry/triangulate.js";
import { addScaled, applyTransposed, dot, length, unit } from "../geometry/vector.js";
import type { View } from "./view.js";

/** Points of the world that two photos or more see, and where they see them. */
export interface WorldPoints {
  readonly count: number;
  /** 3 numbers a point. */
  readonly positions: Float64Array;
  /** First sighting of each point, and the end: count + 1 numbers. */
  readonly start: Int32Array;
  /** Photo (by place among the views) and keypoint of each sighting. */
  readonly photo: Int32Array;
  readonly keypoint: Int32Array;
}

/** A sighting further from its point than this is taken for a wrong match: px at a long edge of 1000 px. */
const LIMIT_PX = 3;
/** Sine of the least angle between two rays from which a distance is believed: a degree and a half. */
const LEAST_PARALLAX = 0.026;
/** Where rays that all but meet nowhere are put, times the distance of the subject. */
const FAR = 20;

/**
 * Triangulates every chain of matches over the placed cameras. Chains whose rays miss one another are dropped; rays
 * so close to parallel that the point lies far behind the subject put it there, since that is all that matters of it.
 *
 * @param points keypoints of each view
 * @param links matches between views, by place among them
 * @param subjectDistance typical distance of the cameras from the subject
 */
export function triangulate(
  views: readonly View[],
  points: readonly Points[],
  links: readonly TrackLink[],
  subjectDistance: number,
): WorldPoints {
  const tracks = tracksOf(
    points.map(({ x }) => x.length),
    links,
    Number.POSITIVE_INFINITY,
  );
  const positions: number[] = [];
  const start = [0];
  const photo: number[] = [];
  const keypoint: number[] = [];
  for (let t = 0; t < tracks.count; t++) {
    const [from, to] = [tracks.start[t], tracks.start[t + 1]];
    const sightings = Array.from({ length: to - from }, (_, k) => from + k);
    const position = positionOf(
      sightings.map((k) => views[tracks.photo[k]]),
      sightings.map((k) => [
        points[tracks.photo[k]].x[tracks.keypoint[k]],
        points[tracks.photo[k]].y[tracks.keypoint[k]],
      ]),
      subjectDistance,
    );
    if (position === undefined) continue;
    positions.push(...position);
    for (const k of sightings) {
      photo.push(tracks.photo[k]);
      keypoint.push(tracks.keypoint[k]);
    }
    start.push(photo.length);
  }
  return {
    count: start.length - 1,
    positions: Float64Array.from(positions),
    start: Int32Array.from(start),
    photo: Int32Array.from(photo),
    keypoint: Int32Array.from(keypoint),
  };
}

function positionOf(
  views: readonly View[],
  pixels: readonly (readonly number[])[],
  subjectDistance: number,
): number[] | undefined {
  const directions = views.map(({ rotation, intrinsics }, k) =>
    unit(
      applyTransposed(rotation, [
        (pixels[k][0] - intrinsics.centreX) / intrinsics.focalPx,
        (pixels[k][1] - intrinsics.centreY) / intrinsics.focalPx,
        1,
      ]),
    ),
  );
  const origins = views.map(({ centre }) => centre);
  const widest = Math.min(...directions.slice(1).map((direction) => dot(direction, directions[0])));
  if (1 - widest * widest < LEAST_PARALLAX ** 2) {
    const baseline = Math.max(...origins.slice(1).map((origin) => length(addScaled(origin, origins[0], -1))));
    // Two photos from one place tell no distance at all; from apart, no parallax means far away.
    return widest > 0 && baseline > 2 * LEAST_PARALLAX * subjectDistance
      ? addScaled(origins[0], directions[0], FAR * subjectDistance)
      : undefined;
  }
  const position = nearestPointToRays(origins, directions);
  return position && views.every((view, k) => missPx(view, position, pixels[k]) <= LIMIT_PX)
    ? position
    : undefined;
}

/** Distance of a point's picture from where it was seen, px at a long edge of 1000 px. */
function missPx(view: View, position: readonly number[], pixel: readonly number[]): number {
  const { rotation: r, centre, intrinsics } = view;
  const d = addScaled(position, centre, -1);
  const depth = r[6] * d[0] + r[7] * d[1] + r[8] * d[2];
  if (!(depth > 0)) return Number.POSITIVE_INFINITY;
  const u = intrinsics.centreX + (intrinsics.focalPx * (r[0] * d[0] + r[1] * d[1] + r[2] * d[2])) / depth;
  const v = intrinsics.centreY + (intrinsics.focalPx * (r[3] * d[0] + r[4] * d[1] + r[5] * d[2])) / depth;
  return (1000 / Math.max(view.widthPx, view.heightPx)) * Math.hypot(u - pixel[0], v - pixel[1]);
}
