import { createRandom, drawSample } from "../geometry/random.js";
import { symmetricEigen } from "../geometry/symmetric-eigen.js";
import { addScaled, cross, dot, unit, type Vec3 } from "../geometry/vector.js";

/** What the subject stands on: points p with dot(normal, p) = height; the subject lies on the side of the normal. */
export interface SupportPlane {
  /** Unit length. */
  readonly normal: Vec3;
  readonly height: number;
  /** Points that lie in it. */
  readonly points: number;
}

/** Samples drawn: enough for one without outliers where a quarter of the points lie in the plane (0.25^3 = 1/64). */
const SAMPLES = 400;
/** Tables are level, and the up axis is known to some degrees: cosine of 15 degrees. */
const LEAST_UPRIGHT = Math.cos((15 * Math.PI) / 180);
/** How far off a point of the plane may lie, as a share of the radius of the place looked at: cloth has folds. */
const TOLERANCE = 0.03;
/** Fewest points that make a plane. */
const FEWEST = 25;

/**
 * The plane that the subject stands on: level, with many points in it and none beneath, since nothing is seen through a
 * table. A lid is level too, but has the subject's sides beneath it, which count against it.
 *
 * @param points near the subject, 3 numbers each
 * @param up unit vector, good to some degrees
 * @param radius of the place looked at, same unit
 * @returns undefined where no plane has enough points: the subject hangs, stands on a plain cloth, or was turned
 */
export function findSupportPlane(points: Float64Array, up: Vec3, radius: number): SupportPlane | undefined {
  const count = points.length / 3;
  if (count < FEWEST) return undefined;
  const random = createRandom(count);
  const sample = new Int32Array(3);
  const tolerance = TOLERANCE * radius;
  const at = (k: number): number[] => [points[3 * k], points[3 * k + 1], points[3 * k + 2]];
  let best: SupportPlane | undefined;
  let most = 0;
  for (let i = 0; i < SAMPLES; i++) {
    drawSample(random, count, 3, sample);
    const [a, b, c] = [at(sample[0]), at(sample[1]), at(sample[2])];
    const across = unit(cross(addScaled(b, a, -1), addScaled(c, a, -1)));
    const upright = dot(across, up);
    if (Math.abs(upright) < LEAST_UPRIGHT) continue;
    const normal = upright < 0 ? across.map((x) => -x) : across;
    const plane = { normal, height: dot(normal, a) };
    const { within, beneath } = tally(points, plane, tolerance);
    if (within - beneath <= most) continue;
    most = within - beneath;
    best = { ...plane, points: within };
  }
  return best === undefined || most < FEWEST ? undefined : refine(points, best, up, tolerance);
}

function tally(
  points: Float64Array,
  { normal, height }: Pick<SupportPlane, "normal" | "height">,
  tolerance: number,
): { within: number; beneath: number } {
  const [nx, ny, nz] = normal;
  let within = 0;
  let beneath = 0;
  for (let k = 0; k < points.length; k += 3) {
    const over = nx * points[k] + ny * points[k + 1] + nz * points[k + 2] - height;
    if (over < -2 * tolerance) beneath++;
    else if (over <= tolerance) within++;
  }
  return { within, beneath };
}

/** Least squares over the points that lie in it. */
function refine(points: Float64Array, plane: SupportPlane, up: Vec3, tolerance: number): SupportPlane {
  const mean = [0, 0, 0];
  const inside: number[] = [];
  for (let k = 0; k < points.length; k += 3) {
    const p = [points[k], points[k + 1], points[k + 2]];
    if (Math.abs(dot(plane.normal, p) - plane.height) > tolerance) continue;
    inside.push(...p);
    for (let c = 0; c < 3; c++) mean[c] += p[c];
  }
  const count = inside.length / 3;
  if (count < FEWEST) return plane;
  for (let c = 0; c < 3; c++) mean[c] /= count;
  const scatter = new Float64Array(9);
  for (let k = 0; k < inside.length; k += 3) {
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) scatter[3 * i + j] += (inside[k + i] - mean[i]) * (inside[k + j] - mean[j]);
    }
  }
  let [normal] = symmetricEigen(scatter, 3).vectors;
  if (dot(normal, up) < 0) normal = normal.map((x) => -x);
  if (dot(normal, up) < LEAST_UPRIGHT) return plane;
  return { normal, height: dot(normal, mean), points: count };
}
