import { NormalEquations, PARALLEL } from "../geometry/normal-equations.js";
import { addScaled } from "../geometry/vector.js";
import type { Points } from "../poses/rays.js";
import { type TrackLink, type Tracks, tracksOf } from "../poses/tracks.js";
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
  const rays = raysOf(views, points, tracks);
  const positions = new Float64Array(3 * tracks.count);
  const start = new Int32Array(tracks.count + 1);
  const photo = new Int32Array(tracks.photo.length);
  const keypoint = new Int32Array(tracks.keypoint.length);
  let count = 0;
  for (let t = 0; t < tracks.count; t++) {
    const [from, to] = [tracks.start[t], tracks.start[t + 1]];
    const position = positionOf(views, points, { rays, tracks, from, to }, subjectDistance);
    if (position === undefined) continue;
    positions.set(position, 3 * count);
    photo.set(tracks.photo.subarray(from, to), start[count]);
    keypoint.set(tracks.keypoint.subarray(from, to), start[count]);
    start[count + 1] = start[count] + to - from;
    count++;
  }
  return {
    count,
    positions: positions.subarray(0, 3 * count),
    start: start.subarray(0, count + 1),
    photo: photo.subarray(0, start[count]),
    keypoint: keypoint.subarray(0, start[count]),
  };
}

/** The sightings of one point: those of the tracks between two places. */
interface Sightings {
  readonly tracks: Tracks;
  /** Directions in the world, unit length, 3 numbers a sighting of the tracks. */
  readonly rays: Float64Array;
  readonly from: number;
  readonly to: number;
}

/** Where each sighting of the tracks looks. */
function raysOf(
  views: readonly View[],
  points: readonly Points[],
  { photo, keypoint }: Tracks,
): Float64Array {
  const rays = new Float64Array(3 * photo.length);
  for (let k = 0; k < photo.length; k++) {
    const { rotation: r, intrinsics } = views[photo[k]];
    const { x, y } = points[photo[k]];
    const u = (x[keypoint[k]] - intrinsics.centreX) / intrinsics.focalPx;
    const v = (y[keypoint[k]] - intrinsics.centreY) / intrinsics.focalPx;
    const dx = r[0] * u + r[3] * v + r[6];
    const dy = r[1] * u + r[4] * v + r[7];
    const dz = r[2] * u + r[5] * v + r[8];
    const size = Math.sqrt(dx * dx + dy * dy + dz * dz);
    rays[3 * k] = dx / size;
    rays[3 * k + 1] = dy / size;
    rays[3 * k + 2] = dz / size;
  }
  return rays;
}

function positionOf(
  views: readonly View[],
  points: readonly Points[],
  sightings: Sightings,
  subjectDistance: number,
): readonly number[] | undefined {
  const { tracks, rays, from, to } = sightings;
  const first = views[tracks.photo[from]].centre;
  const [x, y, z] = [rays[3 * from], rays[3 * from + 1], rays[3 * from + 2]];
  let widest = 1;
  let baseline = 0;
  for (let k = from + 1; k < to; k++) {
    widest = Math.min(widest, x * rays[3 * k] + y * rays[3 * k + 1] + z * rays[3 * k + 2]);
    const { centre } = views[tracks.photo[k]];
    baseline = Math.max(
      baseline,
      Math.hypot(centre[0] - first[0], centre[1] - first[1], centre[2] - first[2]),
    );
  }
  if (1 - widest * widest < LEAST_PARALLAX ** 2) {
    // Two photos from one place tell no distance at all; from apart, no parallax means far away.
    return widest > 0 && baseline > 2 * LEAST_PARALLAX * subjectDistance
      ? addScaled(first, [x, y, z], FAR * subjectDistance)
      : undefined;
  }
  const position = nearestPoint(views, sightings);
  if (position === undefined) return undefined;
  for (let k = from; k < to; k++) {
    const photo = tracks.photo[k];
    const { x: seenX, y: seenY } = points[photo];
    const miss = missPx(views[photo], position, seenX[tracks.keypoint[k]], seenY[tracks.keypoint[k]]);
    if (!(miss <= LIMIT_PX)) return undefined;
  }
  return position;
}

/** The point nearest to all rays of a track. */
function nearestPoint(views: readonly View[], { tracks, rays, from, to }: Sightings): number[] | undefined {
  const sums = new NormalEquations();
  for (let k = from; k < to; k++)
    sums.addRay(views[tracks.photo[k]].centre, rays[3 * k], rays[3 * k + 1], rays[3 * k + 2], 1);
  return sums.solve(PARALLEL);
}

/** Distance of a point's picture from where it was seen, px at a long edge of 1000 px. */
function missPx(view: View, position: readonly number[], seenX: number, seenY: number): number {
  const { rotation: r, centre, intrinsics } = view;
  const dx = position[0] - centre[0];
  const dy = position[1] - centre[1];
  const dz = position[2] - centre[2];
  const depth = r[6] * dx + r[7] * dy + r[8] * dz;
  if (!(depth > 0)) return Number.POSITIVE_INFINITY;
  const u = intrinsics.centreX + (intrinsics.focalPx * (r[0] * dx + r[1] * dy + r[2] * dz)) / depth;
  const v = intrinsics.centreY + (intrinsics.focalPx * (r[3] * dx + r[4] * dy + r[5] * dz)) / depth;
  return (1000 / Math.max(view.widthPx, view.heightPx)) * Math.hypot(u - seenX, v - seenY);
}
