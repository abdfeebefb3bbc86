import { solveRobustly } from "../differences.js";
import type { Correspondences } from "../geometry/essential.js";
import { sampsonDistances } from "../geometry/refine.js";
import { depthsOf } from "../geometry/triangulate.js";
import { applyTransposed, type Mat3, multiply, transpose, type Vec3 } from "../geometry/vector.js";
import { DisjointSets } from "../parts.js";
import { upperMedian } from "../statistics.js";
import { translationGiven } from "./translation.js";

/** A link with its matches. */
export interface PositionLink {
  readonly i: number;
  readonly j: number;
  /** Index pairs (keypoint of i, keypoint of j, ...); keypoints have numbers under 65,536. */
  readonly inliers: ArrayLike<number>;
  /** Direction of the step as two views gave it, in j's frame; only where it starts the search. */
  readonly translation: Vec3;
  /** The camera only turned: both photos were taken from one place. */
  readonly pureRotation: boolean;
}

export interface SolvedPositions {
  /** Camera centres in the world of the rotations, one a photo; the unit is arbitrary. */
  readonly centres: readonly Vec3[];
  /** Median depth of what each photo shows, in the same unit; undefined where no link tells it. */
  readonly depths: readonly (number | undefined)[];
  /** Disagreement of each link's step with the solution, as a share of the step; undefined where not used. */
  readonly residualRatio: readonly (number | undefined)[];
}

export interface PositionOptions {
  /** Sampson distance within which a match counts, in the rays' unit. */
  readonly limit: number;
}

/** Fewest common keypoints from which two links of one photo are brought to one scale. */
const FEWEST_COMMON = 6;
/** Fewest points with a depth for a link to count. */
const FEWEST_DEPTHS = 8;
/** A link brings at most this many points to the comparison of scales: enough for a median, and bounded in time. */
const MOST_WEIGHT = 40;

/** Numbers that a keypoint may have. */
const MOST_KEYPOINTS = 65_536;

interface Step {
  readonly link: number;
  readonly i: number;
  readonly j: number;
  /** Direction from i to j in the world, unit length. */
  readonly direction: number[];
  /** How many points have a depth. */
  readonly points: number;
}

/** Keypoints of one photo with the log of their depth in units of a step. */
interface LogDepths {
  readonly keypoint: Uint16Array;
  readonly value: Float32Array;
}

/** A step with the depths that it gives in both photos. */
interface MeasuredStep extends Omit<Step, "points"> {
  readonly inI: LogDepths;
  readonly inJ: LogDepths;
}

/**
 * Camera centres for known rotations. Each link gives the direction of its step and, through the points it
 * triangulates, the step's length against the depth of what both photos show; links that share keypoints of a photo
 * are brought to one scale by those, others by the photo's median depth. With lengths and directions known the centres
 * follow by robust linear least squares. Averaging directions alone collapses on a ring, where all steps are alike.
 *
 * @param raysOf matches of a link as rays, asked for once each and not held
 */
export function solvePositions(
  count: number,
  rotations: readonly Mat3[],
  links: readonly PositionLink[],
  raysOf: (link: PositionLink) => Correspondences,
  options: PositionOptions,
): SolvedPositions {
  const { steps, lengths, depths } = scaledSteps(count, links, (link, index) =>
    link.pureRotation ? undefined : stepOf(link, raysOf(link), index, rotations, options.limit),
  );
  // Far background alone hides a step, so standing still is believed only where no step says otherwise.
  const joined = new DisjointSets(count);
  for (const { i, j } of steps) joined.join(i, j);
  const still = links.flatMap(({ i, j, pureRotation }, index) =>
    pureRotation && joined.find(i) !== joined.find(j) ? [index] : [],
  );
  const from: number[] = [];
  const to: number[] = [];
  const difference: number[] = [];
  const weights: number[] = [];
  const units: number[] = [];
  steps.forEach((step, k) => {
    from.push(step.i);
    to.push(step.j);
    difference.push(...step.direction.map((c) => c * lengths[k]));
    weights.push(Math.min(step.points, 100) / lengths[k] ** 2);
    units.push(lengths[k]);
  });
  for (const index of still) {
    const { i, j } = links[index];
    // What parallax under a pixel hides: about a hundredth of the depth.
    const unseen = 0.01 * (depths[i] ?? depths[j] ?? upperMedian(lengths));
    from.push(i);
    to.push(j);
    difference.push(0, 0, 0);
    weights.push(unseen > 0 ? 30 / unseen ** 2 : 1);
    units.push(unseen > 0 ? unseen : 1);
  }
  const { values, residuals } = solveRobustly(
    count,
    3,
    { from: Int32Array.from(from), to: Int32Array.from(to), difference: Float64Array.from(difference) },
    Float64Array.from(weights),
    { absolutePasses: 5, passes: 15, scale: 0.05 },
    Float64Array.from(units),
  );
  const centres = Array.from({ length: count }, (_, i) => [
    values[3 * i],
    values[3 * i + 1],
    values[3 * i + 2],
  ]);
  const residualRatio = new Array<number | undefined>(links.length).fill(undefined);
  steps.forEach((step, k) => {
    residualRatio[step.link] = residuals[k];
  });
  return { centres, depths, residualRatio };
}

function stepOf(
  link: PositionLink,
  rays: Correspondences,
  index: number,
  rotations: readonly Mat3[],
  limit: number,
): MeasuredStep | undefined {
  const rotation = multiply(rotations[link.j], transpose(rotations[link.i]));
  const t = translationGiven(rays, rotation, link.translation, limit);
  const distances = sampsonDistances(rays, { rotation, translation: t });
  let depths = depthsOf(rays, { rotation, translation: t });
  const good: number[] = [];
  let front = 0;
  for (let k = 0; k < depths.inA.length; k++) {
    // The angle between the rays must stand clear of the noise for a depth to mean something.
    if (depths.parallax[k] < 2 * limit) continue;
    if (distances[k] > limit * limit) continue;
    good.push(k);
    if (depths.inA[k] > 0 && depths.inB[k] > 0) front++;
    if (depths.inA[k] < 0 && depths.inB[k] < 0) front--;
  }
  const translation = front >= 0 ? t : t.map((c) => -c);
  if (front < 0) depths = depthsOf(rays, { rotation, translation });
  const seen = good.filter((k) => depths.inA[k] > 0 && depths.inB[k] > 0);
  if (seen.length < FEWEST_DEPTHS) return undefined;
  const logDepths = (all: Float64Array, end: number): LogDepths => ({
    keypoint: new Uint16Array(seen.map((k) => link.inliers[2 * k + end])),
    value: new Float32Array(seen.map((k) => Math.log(all[k]))),
  });
  const direction = applyTransposed(rotations[link.j], translation).map((c) => -c);
  return {
    link: index,
    i: link.i,
    j: link.j,
    direction,
    inI: logDepths(depths.inA, 0),
    inJ: logDepths(depths.inB, 1),
  };
}

interface ScaledSteps {
  readonly steps: readonly Step[];
  /** One a step. */
  readonly lengths: readonly number[];
  /** Of what each photo shows, in the same unit. */
  readonly depths: readonly (number | undefined)[];
}

/**
 * Length of every step and depth of every photo in one unit, from log-depths that shared points have in common. Photo by
 * photo: a step's depths are held from its first photo to its other one, since those of thousands of links are much.
 */
function scaledSteps(
  count: number,
  links: readonly PositionLink[],
  measure: (link: PositionLink, index: number) => MeasuredStep | undefined,
): ScaledSteps {
  const steps: Step[] = [];
  const beginning = links.map((_, index) => index);
  beginning.sort((p, q) => firstOf(links[p]) - firstOf(links[q]) || p - q);
  let next = 0;
  /** Depths in each photo by the steps that began at one before it. */
  const ending: { step: number; depths: LogDepths }[][] = Array.from({ length: count }, () => []);
  const seen = new Array<boolean>(count).fill(false);
  // Nodes: one a step (log length), then one a photo (log median depth), which is numbered once the steps are counted.
  const from: number[] = [];
  const to: number[] = [];
  const difference: number[] = [];
  const weights: number[] = [];
  const byKeypoint = new Float64Array(MOST_KEYPOINTS).fill(Number.NaN);
  for (let photo = 0; photo < count; photo++) {
    const at = ending[photo];
    ending[photo] = [];
    for (; next < links.length && firstOf(links[beginning[next]]) === photo; next++) {
      const measured = measure(links[beginning[next]], beginning[next]);
      if (measured === undefined) continue;
      const { inI, inJ, ...step } = measured;
      const { i, j } = step;
      at.push({ step: steps.length, depths: i < j ? inI : inJ });
      ending[Math.max(i, j)].push({ step: steps.length, depths: i < j ? inJ : inI });
      steps.push({ ...step, points: inI.value.length });
    }
    seen[photo] = at.length > 0;
    for (let p = 0; p < at.length; p++) {
      from.push(at[p].step);
      to.push(PHOTO_NODE - photo);
      const { keypoint, value } = at[p].depths;
      difference.push(upperMedian(value));
      weights.push(1);
      for (let k = 0; k < value.length; k++) byKeypoint[keypoint[k]] = value[k];
      for (let q = p + 1; q < at.length; q++) {
        const gaps = gapsTo(byKeypoint, at[q].depths);
        if (gaps.length < FEWEST_COMMON) continue;
        // log length p + depth p = log length q + depth q.
        from.push(at[p].step);
        to.push(at[q].step);
        difference.push(upperMedian(gaps));
        weights.push(Math.min(gaps.length, MOST_WEIGHT));
      }
      for (const k of keypoint) byKeypoint[k] = Number.NaN;
    }
  }
  const node = (n: number): number => (n < 0 ? steps.length + PHOTO_NODE - n : n);
  const { values } = solveRobustly(
    steps.length + count,
    1,
    { from: Int32Array.from(from), to: Int32Array.from(to, node), difference: Float64Array.from(difference) },
    Float64Array.from(weights),
    { absolutePasses: 4, passes: 10, scale: 0.05 },
  );
  const lengths = steps.map((_, k) => Math.exp(values[k]));
  const depths = seen.map((any, photo) => (any ? Math.exp(values[steps.length + photo]) : undefined));
  return { steps, lengths, depths };
}

/** Stands for photo 0 until the steps are counted; lower ones for those after it. */
const PHOTO_NODE = -1;

function firstOf({ i, j }: PositionLink): number {
  return Math.min(i, j);
}

/** How much deeper each keypoint that both know is by the first, whose depths stand under the keypoints' numbers. */
function gapsTo(byKeypoint: Float64Array, { keypoint, value }: LogDepths): number[] {
  const gaps: number[] = [];
  for (let k = 0; k < value.length; k++) {
    const gap = byKeypoint[keypoint[k]] - value[k];
    if (!Number.isNaN(gap)) gaps.push(gap);
  }
  return gaps;
}
