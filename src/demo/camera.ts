import {
  apply,
  cross,
  type Matrix3,
  multiply,
  normalise,
  rotationAbout,
  subtract,
  type Vector3,
} from "./vector.js";

/**
 * A pinhole camera of an upright picture. A world point X is seen at camera point R (X - centre), and at pixel
 * (principal x + focal X/Z, principal y + focal Y/Z). Pixel (0, 0) has its centre at (0, 0), so the principal
 * point, the middle of the picture, is ((width - 1) / 2, (height - 1) / 2).
 */
export interface Camera {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly focalPx: number;
  /** Metres, world. */
  readonly centre: Vector3;
  /** World to camera. */
  readonly rotation: Matrix3;
}

/** Diagonal of a 36 x 24 mm frame: the 35 mm equivalent focal length goes by diagonal. */
const frameDiagonalMm = Math.hypot(36, 24);

/** Focal length in pixels of a 35 mm equivalent in mm. */
export function focalPxOf(focalLength35Mm: number, widthPx: number, heightPx: number): number {
  return (focalLength35Mm / frameDiagonalMm) * Math.hypot(widthPx, heightPx);
}

/** World-to-camera rotation that puts `target` in the middle with the world's z axis upward in the picture. */
export function lookAt(centre: Vector3, target: Vector3): Matrix3 {
  const forward = normalise(subtract(target, centre));
  const right = normalise(cross(forward, [0, 0, 1]));
  const down = cross(forward, right);
  return [...right, ...down, ...forward];
}

/** The rotation after the phone itself turns: aim to the right, aim down, then roll clockwise, radians. */
export function turnCamera(rotation: Matrix3, right: number, down: number, roll: number): Matrix3 {
  const aimed = multiply(rotationAbout("x", down), multiply(rotationAbout("y", -right), rotation));
  return multiply(rotationAbout("z", -roll), aimed);
}

/** Distance of a world point along the camera's axis, metres; negative behind it. */
export function depthOf(camera: Camera, point: Vector3): number {
  return apply(camera.rotation, subtract(point, camera.centre))[2];
}

/** Pixel of a world point, or undefined where it lies behind the camera. */
export function projectPoint(camera: Camera, point: Vector3): { x: number; y: number } | undefined {
  const [x, y, z] = apply(camera.rotation, subtract(point, camera.centre));
  if (z <= 0) return undefined;
  return {
    x: (camera.widthPx - 1) / 2 + (camera.focalPx * x) / z,
    y: (camera.heightPx - 1) / 2 + (camera.focalPx * y) / z,
  };
}
