import { withArena } from "../../kernels/arena.js";
import { kernels } from "../../kernels/kernels.js";
import { type Correspondences, essentialOf } from "../geometry/essential.js";
import { symmetricEigen } from "../geometry/symmetric-eigen.js";
import type { Mat3, Vec3 } from "../geometry/vector.js";
import { upperMedian } from "../statistics.js";

const PASSES = 5;

/**
 * Direction of the translation for a known rotation, sign left open: the unit vector most nearly across all
 * (rotation xa) x xb, by iteratively reweighted least squares of the Sampson distance.
 *
 * @param start a translation to start from: without one, wrong matches weigh as much as right ones at first.
 * @param scale distance at which a match's weight has fallen to a quarter, in the coordinates' unit; where it is left
 * out, one and a half times the median distance of each pass.
 */
export function translationGiven(
  points: Correspondences,
  rotation: Mat3,
  start: Vec3 = [0, 0, 0],
  scale?: number,
): Vec3 {
  return withArena((arena) => {
    const count = points.length >> 2;
    const at = arena.doubles(points);
    const distances = arena.take(8 * count);
    let translation = start;
    for (let pass = 0; pass < PASSES; pass++) {
      let limit = scale;
      if (limit === undefined) {
        kernels().sampsonDistances(
          at,
          count,
          arena.doubles(essentialOf({ rotation, translation })),
          distances,
        );
        limit = Math.max(1e-9, 1.5 * Math.sqrt(upperMedian(arena.f64(distances, count))));
      }
      const motion = arena.doubles(rotation, translation);
      const sums = arena.filled(8 * 6);
      kernels().addNormals(at, count, motion, limit * limit, sums);
      const [xx, xy, xz, yy, yz, zz] = arena.f64(sums, 6);
      [translation] = symmetricEigen([xx, xy, xz, xy, yy, yz, xz, yz, zz], 3).vectors;
    }
    return translation;
  });
}
