import type { Mat3, Vec3 } from "../geometry/vector.js";
import type { Hold } from "./held.js";

/** A placed camera. */
export interface Placed {
  /** World to camera. */
  readonly rotation: Mat3;
  readonly centre: Vec3;
  /** Median depth of what it shows, in the world's unit. */
  readonly depth?: number;
}

/** Unit vector along which a camera looks, in the world. */
export function axisOf(rotation: Mat3): number[] {
  return [rotation[6], rotation[7], rotation[8]];
}

export interface HeldCamera extends Placed {
  readonly photo: number;
  /** How loosely the others hold it: see loosenessOf. */
  readonly looseness?: number;
  /** Number of the firm group that it belongs to, 0 the largest: see firmGroups. */
  readonly group?: number;
}

/** A part with all its cameras in one world. */
export interface PlacedPart {
  readonly photos: readonly number[];
  /** In the order of `photos`, without those whose links contradict their place or that little holds there. */
  readonly cameras: readonly HeldCamera[];
  /** The links between any photos that fit where both were placed. */
  readonly holds: readonly Hold[];
  /** x, y, z of points that several photos show, interleaved; may be none. */
  readonly points: Float64Array;
  /** Radial distortion that the cameras were solved with: see Bundle. */
  readonly k1: number;
}

/** Fewest photos that are placed: two have a direction between them, but no size to judge it by. */
export const FEWEST_PLACED = 3;
