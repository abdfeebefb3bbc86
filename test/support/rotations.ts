import type { Motion } from "#goodgate/measure/geometry/essential.js";
import { IDENTITY } from "#goodgate/measure/geometry/rotation.js";
import { determinant, type Mat3, multiply, transpose } from "#goodgate/measure/geometry/vector.js";

/** Frobenius norm of a - b: 2 sqrt(2) sin(angle / 2) for rotations, in [0, 2 sqrt(2)]. */
export function chordalDistance(a: Mat3, b: Mat3): number {
  return Math.hypot(...Array.from(a, (entry, i) => entry - b[i]!));
}

/** Whether m is a rotation to within the tolerance: orthonormal, determinant +1. */
export function isRotation(m: Mat3, tolerance = 1e-9): boolean {
  return chordalDistance(multiply(m, transpose(m)), IDENTITY) <= tolerance && determinant(m) > 0;
}

/** Whether a motion's rotation is proper and its translation of unit length. */
export function isMotion({ rotation, translation }: Motion): boolean {
  return isRotation(rotation) && Math.abs(Math.hypot(...translation) - 1) < 1e-9;
}
