import { nearestRotation, rotationAngleDeg } from "#goodgate/measure/geometry/rotation.js";
import { type Mat3, multiply, transpose } from "#goodgate/measure/geometry/vector.js";

/**
 * Errors of absolute rotations, degrees: a solved set has a world of its own, so the one rotation of the whole world
 * that brings it closest to the true one is taken out first.
 *
 * @param solved world to camera; truth likewise, in the same order.
 */
export function rotationErrors(solved: readonly Mat3[], truth: readonly Mat3[]): number[] {
  const sum = new Array<number>(9).fill(0);
  solved.forEach((rotation, k) => {
    multiply(transpose(rotation), truth[k]).forEach((value, i) => {
      sum[i] += value;
    });
  });
  const world = nearestRotation(sum);
  return solved.map((rotation, k) => rotationAngleDeg(multiply(rotation, world), truth[k]));
}
