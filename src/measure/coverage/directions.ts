import { addScaled, angleDegBetween, cross, dot, length, unit, type Vec3 } from "../geometry/vector.js";

/** Where a camera stood, seen from the subject. */
export interface Direction {
  /** 0 at the first camera that is not overhead, growing clockwise seen from above, [0, 360). */
  readonly azimuthDeg: number;
  /** 0 level with the subject, 90 straight above, [-90, 90]. */
  readonly elevationDeg: number;
}

const DEGREES = 180 / Math.PI;
const OVERHEAD_COSINE = Math.cos(65 / DEGREES);

/**
 * Directions of the cameras around the subject.
 *
 * @param centres at least one; azimuth 0 is at the first that is not overhead (under 65 degrees), if there is one.
 * @param up unit vector.
 */
export function directionsAround(centres: readonly Vec3[], subject: Vec3, up: Vec3): Direction[] {
  const from = centres.map((centre) => addScaled(centre, subject, -1));
  const level = from.map((v) => addScaled(v, up, -dot(v, up)));
  // Straight above there is no azimuth to start from, and near it a poor one.
  const first = level.find((v, i) => length(v) > OVERHEAD_COSINE * length(from[i])) ?? level[0];
  const ahead = unit(first);
  const clockwise = cross(ahead, up);
  return from.map((v, i) => {
    const azimuth = Math.atan2(dot(level[i], clockwise), dot(level[i], ahead)) * DEGREES;
    return {
      azimuthDeg: wrap360(azimuth),
      elevationDeg: Math.atan2(dot(v, up), length(level[i])) * DEGREES,
    };
  });
}

/** Brings an angle in degrees to [0, 360). */
export function wrap360(degrees: number): number {
  const wrapped = degrees % 360;
  const positive = wrapped < 0 ? wrapped + 360 : wrapped;
  return positive >= 360 ? 0 : positive;
}

/** Angle on the sphere between two directions, degrees in [0, 180]. */
export function angleBetweenDirections(a: Direction, b: Direction): number {
  return angleDegBetween(vectorOf(a), vectorOf(b));
}

/** A direction as a vector of length 1, the third number up. */
export function vectorOf({ azimuthDeg, elevationDeg }: Direction): Vec3 {
  const azimuth = azimuthDeg / DEGREES;
  const elevation = elevationDeg / DEGREES;
  const level = Math.cos(elevation);
  return [level * Math.cos(azimuth), level * Math.sin(azimuth), Math.sin(elevation)];
}
