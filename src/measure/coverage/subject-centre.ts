import { NormalEquations, nearestPointToRays } from "../geometry/normal-equations.js";
import { addScaled, dot, length, type Vec3 } from "../geometry/vector.js";
import { axisOf, type Placed } from "../poses/placed.js";
import { upperMedian } from "../statistics.js";

const PASSES = 12;
/** People aim within a few degrees: an axis that passes further off counts less and less (tangent of 6 degrees). */
const AIM = 0.1;
/** How little the median depth counts beside the axes: it includes the background. */
const DEPTH_WEIGHT = 0.01;
/** Least determinant, over the cube of the weight: the observation for a depth alone keeps parallel axes well above it. */
const LEAST_DETERMINANT = 1e-12;

export interface Subject {
  readonly centre: Vec3;
  /** Standard error of the centre along any axis, in the world's unit: how far the optical axes miss it, shared out. */
  readonly sigma: number;
}

/**
 * Where the subject is: the point that the optical axes pass closest to, robustly, with a weak observation that it lies at the depth
 * the photos show, which decides alone where all axes are parallel.
 *
 * @returns undefined with no camera that has a depth or fewer than two axes.
 */
export function findSubject(cameras: readonly Placed[]): Subject | undefined {
  const depths = cameras.flatMap(({ depth }) => (depth !== undefined ? [depth] : []));
  const origins = cameras.map(({ centre }) => centre);
  const axes = cameras.map(({ rotation }) => axisOf(rotation));
  const described = (centre: number[] | undefined): Subject | undefined =>
    centre && { centre, sigma: missOf(cameras, axes, centre) };
  if (depths.length === 0) return described(nearestPointToRays(origins, axes));
  const typical = upperMedian(depths);
  const weights = new Float64Array(cameras.length).fill(1);
  let subject: number[] | undefined;
  for (let pass = 0; pass < PASSES; pass++) {
    const next = weightedCentre(cameras, axes, weights, typical);
    if (!next) break;
    subject = next;
    cameras.forEach((camera, i) => {
      const to = addScaled(subject as number[], camera.centre, -1);
      const along = dot(to, axes[i]);
      const off = length(addScaled(to, axes[i], -along)) / Math.max(along, 1e-9 * typical);
      // Looking away from the subject says nothing about where it is.
      weights[i] = along > 0 ? 1 / (1 + (off / AIM) ** 2) : 1e-3;
    });
  }
  return described(subject);
}

/** Median miss of the axes as a standard error: each axis tells two of the three coordinates. */
function missOf(cameras: readonly Placed[], axes: readonly Vec3[], centre: Vec3): number {
  const misses = cameras.map((camera, i) => {
    const to = addScaled(centre, camera.centre, -1);
    return length(addScaled(to, axes[i], -dot(to, axes[i])));
  });
  // The median length of a plane normal error of deviation s is 1.1774 s.
  return ((upperMedian(misses) / 1.1774) * Math.sqrt(1.5)) / Math.sqrt(cameras.length);
}

function weightedCentre(
  cameras: readonly Placed[],
  axes: readonly Vec3[],
  weights: Float64Array,
  typical: number,
): number[] | undefined {
  const sums = new NormalEquations();
  cameras.forEach(({ centre, depth }, k) => {
    const [x, y, z] = axes[k];
    const weight = weights[k] / (depth ?? typical) ** 2;
    sums.addRay(centre, x, y, z, weight);
    if (depth !== undefined) sums.addRow(x, y, z, dot(axes[k], centre) + depth, DEPTH_WEIGHT * weight);
  });
  return sums.solve(LEAST_DETERMINANT);
}
