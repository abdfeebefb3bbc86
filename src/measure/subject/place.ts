import { medianOf } from "../differences.js";
import { addScaled, dot, length, type Vec3 } from "../geometry/vector.js";
import type { WorldPoints } from "./points.js";
import { findSupportPlane, type SupportPlane } from "./support-plane.js";
import { cellsPer, projectTo, type View } from "./view.js";

/** The place that all cameras look at: a ball, and the plane that cuts it off below. */
export interface Place {
  readonly centre: Vec3;
  readonly radius: number;
  readonly plane: SupportPlane | undefined;
}

/** Points this far over the plane, as a share of the radius, count as the subject's and no longer as the table's. */
const CLEAR_OF_PLANE = 0.05;
/** Points on the table are looked for this far around, and this far above and below the middle, times the radius. */
const TABLE_REACH = 2;
const TABLE_HEIGHT = 1.5;

/**
 * Where the subject stands: around the point that the cameras aim at, as large as the ball that the middle camera has
 * whole in its frame (whoever walks round a thing keeps all of it in the picture), above the plane it stands on.
 */
export function placeOf(views: readonly View[], points: WorldPoints, aim: Vec3, up: Vec3): Place {
  const radius = medianOf(views.map((view) => wholeRadius(view, aim)).filter((r) => r > 0));
  const near: number[] = [];
  for (let k = 0; k < points.count; k++) {
    const p = [points.positions[3 * k], points.positions[3 * k + 1], points.positions[3 * k + 2]];
    const from = addScaled(p, aim, -1);
    const over = dot(from, up);
    if (Math.abs(over) > TABLE_HEIGHT * radius) continue;
    if (length(addScaled(from, up, -over)) > TABLE_REACH * radius) continue;
    near.push(...p);
  }
  return { centre: aim, radius, plane: findSupportPlane(Float64Array.from(near), up, radius) };
}

/** Radius of the largest ball around a point that a view has whole in its frame; 0 where the point is outside. */
function wholeRadius(view: View, aim: Vec3): number {
  const out = new Float64Array(3);
  if (!projectTo(view, aim[0], aim[1], aim[2], out)) return 0;
  const [x, y, depth] = out;
  return Math.max(0, Math.min(x, y, view.columns - x, view.rows - y)) / cellsPer(view, depth);
}

/** Height of a point over the plane as a share of the radius; over the bottom of the ball where there is no plane. */
export function heightOver({ centre, radius, plane }: Place, x: number, y: number, z: number): number {
  if (plane === undefined) return 1;
  const [nx, ny, nz] = plane.normal;
  void centre;
  return (nx * x + ny * y + nz * z - plane.height) / radius;
}

/** Whether a point can be the subject's: in the ball, and clear of the table. */
export function inPlace(place: Place, x: number, y: number, z: number): boolean {
  const [cx, cy, cz] = place.centre;
  if (Math.hypot(x - cx, y - cy, z - cz) > place.radius) return false;
  return heightOver(place, x, y, z) > CLEAR_OF_PLANE;
}
