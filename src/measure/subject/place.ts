import { type LevelPlane, levelPlane } from "../coverage/level.js";
import type { Vec3 } from "../geometry/vector.js";
import { upperMedian } from "../statistics.js";
import type { WorldPoints } from "./points.js";
import { cellsPer, projectTo, type View } from "./view.js";

/** The place that all cameras look at: a sphere, and the plane of the table that cuts it off below. */
export interface Place {
  readonly centre: Vec3;
  /** Radius of the sphere that just fits into the frame's short side: the subject is seldom larger. */
  readonly radius: number;
  /** Radius of the sphere that just fits into its long side: the subject is hardly ever larger. */
  readonly reach: number;
  readonly plane: LevelPlane | undefined;
}

/** Points this far over the plane, as a share of the radius, count as the subject's and no longer as the table's. */
const CLEAR_OF_PLANE = 0.05;
/** Points on the table are looked for this far around, times the radius. */
const TABLE_REACH = 2;
/** Tables are level, and the up axis is known to some degrees. */
const LEVEL_WITHIN_DEG = 15;

/**
 * Where the subject stands: around the point that the cameras aim at, as large as the frame of the middle camera there
 * (whoever walks round a thing keeps all of it in the picture), above the plane it stands on.
 *
 * @returns undefined where fewer than half of the views have that point in the picture: then they look at no one place
 */
export function placeOf(views: readonly View[], points: WorldPoints, aim: Vec3, up: Vec3): Place | undefined {
  const radii = views.map((view) => radiiOf(view, aim)).filter(({ short }) => short > 0);
  if (2 * radii.length < views.length) return undefined;
  const radius = upperMedian(radii.map(({ short }) => short));
  const reach = upperMedian(radii.map(({ long }) => long));
  const plane = levelPlane(points.positions, aim, TABLE_REACH * radius, up, LEVEL_WITHIN_DEG);
  return { centre: aim, radius, reach, plane };
}

/** Radii of the spheres around a point that touch a view's nearest edge, and its nearest edge along the long side; 0 where the view does not show the point. */
function radiiOf(view: View, aim: Vec3): { short: number; long: number } {
  const out = new Float64Array(3);
  if (!projectTo(view, aim[0], aim[1], aim[2], out)) return { short: 0, long: 0 };
  const [x, y, depth] = out;
  const across = Math.max(0, Math.min(x, view.columns - x)) / cellsPer(view, depth);
  const along = Math.max(0, Math.min(y, view.rows - y)) / cellsPer(view, depth);
  return { short: Math.min(across, along), long: Math.max(across, along) };
}

/** Height of a point over the plane as a share of the radius; 1 where there is no plane. */
export function heightOver({ radius, plane }: Place, x: number, y: number, z: number): number {
  if (plane === undefined) return 1;
  const [nx, ny, nz] = plane.normal;
  return (nx * x + ny * y + nz * z - plane.height) / radius;
}

/** Whether a point can be the subject's: in the sphere, and clear of the table. */
export function inPlace(place: Place, x: number, y: number, z: number): boolean {
  const [cx, cy, cz] = place.centre;
  if (Math.hypot(x - cx, y - cy, z - cz) > place.reach) return false;
  return heightOver(place, x, y, z) > CLEAR_OF_PLANE;
}
