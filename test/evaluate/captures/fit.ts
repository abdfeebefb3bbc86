import { nearestRotation } from "#goodgate/measure/geometry/rotation.js";
import { angleDegBetween, apply, type Mat3, type Vec3 } from "#goodgate/measure/geometry/vector.js";

/** Passes of the reweighting, and the error (degrees) at which a direction counts half: a few that are far off must not pull the others. */
const PASSES = 30;
const HALF_AT_DEG = 2;

/**
 * Angles between directions and their truth, degrees, after the rotation, or rotation of the mirror image, that brings most
 * of them closest: a solved set has a world of its own, and either world may be left-handed.
 *
 * @param found unit vectors; truth likewise, in the same order.
 */
export function directionErrors(found: readonly Vec3[], truth: readonly Vec3[]): number[] {
  const [kept, mirrored] = [1, -1].map((side) => {
    const sided = found.map(([x, y, z]) => [x, y, side * z]);
    const world = robustRotation(sided, truth);
    return sided.map((direction, k) => angleDegBetween(apply(world, direction), truth[k]));
  });
  return robustSum(mirrored) < robustSum(kept) ? mirrored : kept;
}

function robustRotation(found: readonly Vec3[], truth: readonly Vec3[]): Mat3 {
  let world: Mat3 = [];
  let weights = found.map(() => 1);
  for (let pass = 0; pass < PASSES; pass++) {
    const sum = new Array<number>(9).fill(0);
    found.forEach((direction, k) => {
      for (let r = 0; r < 3; r++)
        for (let c = 0; c < 3; c++) sum[3 * r + c] += weights[k] * truth[k][r] * direction[c];
    });
    world = nearestRotation(sum);
    weights = found.map((direction, k) => {
      const error = angleDegBetween(apply(world, direction), truth[k]) / HALF_AT_DEG;
      // From where all lie far off, absolute errors lead to where most agree.
      return pass < PASSES / 2 ? 1 / Math.max(0.05, error) : 1 / (1 + error ** 2);
    });
  }
  return world;
}

function robustSum(errors: readonly number[]): number {
  return errors.reduce((sum, error) => sum + Math.min(error, 20), 0);
}
