import { type Correspondences, fivePoint, type Motion, motionsOf } from "../geometry/essential.js";
import { fitHomography, homographyFromFour } from "../geometry/homography.js";
import { motionsOfHomography } from "../geometry/homography-motion.js";
import { createRandom, drawSample, type Random } from "../geometry/random.js";
import { inliersOf, msacCost, msacCostOfEssential, refineMotion } from "../geometry/refine.js";
import { rotationAngleDeg } from "../geometry/rotation.js";
import { sampleCount } from "../geometry/sampling.js";
import { depthsOf } from "../geometry/triangulate.js";
import { angleDegBetween, type Mat3, type Vec3 } from "../geometry/vector.js";
import { translationGiven } from "./translation.js";
import { bestRotation } from "./turn.js";

/** One explanation of how the camera moved between two photos. */
export interface PoseCandidate {
  /** Takes a's camera frame to b's: X in b = rotation X in a + translation. */
  readonly rotation: Mat3;
  /** Unit length; its direction means nothing where the camera only turned. */
  readonly translation: Vec3;
  /** Mean truncated squared Sampson distance over the limit squared, 0 (all fit) to 1 (none does). */
  readonly cost: number;
  /** Share of the fitting points in front of both cameras, 0 to 1, of those whose rays cross at a usable angle. */
  readonly inFrontRatio: number;
  /** Matches within the limit. */
  readonly inliers: number;
}

export interface RelativePose {
  /** "pure-rotation": one rotation explains the matches as well as a step does, so no step is seen. */
  readonly kind: "moved" | "pure-rotation";
  /** Best first; never empty. The truth may be any of them: two views of a plane fit two motions alike. */
  readonly candidates: readonly PoseCandidate[];
  /** Median distance of the matches from the best pure rotation, px: how much parallax there is. */
  readonly parallaxPx: number;
}

export interface PoseOptions {
  /** Distance in px at which a match no longer fits. */
  readonly limitPx: number;
  /** Keep this many candidates at most. */
  readonly candidates: number;
  readonly seed: number;
  /** Motions to refine in place of those found by sampling, where a pose nearly right is known: a tenth of the time. */
  readonly near?: readonly Motion[];
}

/** 1.5 px at a long edge of 1000 px fits hand-held frames; test/evaluate/around.ts shows its effect. */
const POSE_DEFAULTS: PoseOptions = { limitPx: 1.5, candidates: 4, seed: 1 };

/** The smallest number of matches a pose is tried on: five fix it, the rest confirm it. */
const FEWEST_MATCHES = 12;
/**
 * Hypotheses are sifted on about this many matches, final candidates on at most FINAL_MATCHES: chosen for time, not measured
 * one by one; docs/evaluation-around.md holds the errors that they leave to their bars.
 */
const SIFT_MATCHES = 80;
const FINAL_MATCHES = 200;
/** An alternative that leaves a quarter more of the matches unexplained is none; chosen, not measured. */
const WORSE_BY = 0.25;
/** Chosen, so that the first good sample does not end it. */
const FEWEST_SAMPLES = 12;
/** One sample of five in 60 is free of wrong matches, with 99 %, where 60 % are right; likewise four in 14 where 73 % lie on a plane. */
const MOST_SAMPLES = 60;
const PLANE_SAMPLES = 14;
/** Share of points in front of both cameras under which a motion is impossible rather than noisy: no gross error in 217 pairs of two real walks up to 20 degrees apart. */
const IN_FRONT = 0.7;
/** Rays closer than this many px of parallax cross anywhere: they do not tell front from behind. */
const USABLE_PARALLAX_PX = 1.5;
/** A pure rotation leaves every match within noise: about 1.2 px at 0.5 px keypoint noise in both pictures. */
const TURN_MEDIAN_PX = 1.3;

/**
 * How the camera moved between two photos, with the alternatives. Hypotheses come from the five-point essential
 * matrix, from both decompositions of the dominant plane's homography, and from the best pure rotation; each is
 * refined on a robust Sampson error; the lowest truncated cost with points in front of both cameras comes first.
 * Choosing between homography and essential matrix by their share of inliers is avoided: a flat background breaks it.
 *
 * @param points verified matches as rays; some may be wrong.
 * @param focalPx focal length the rays were divided by (the mean, where the two photos differ), px.
 * @returns undefined with fewer than 12 matches.
 * @see Nister 2004 for the five-point solver; Torr and Zisserman 2000 for the cost.
 */
export function relativePose(
  points: Correspondences,
  focalPx: number,
  options: Partial<PoseOptions> = {},
): RelativePose | undefined {
  const { limitPx, candidates, seed, near } = { ...POSE_DEFAULTS, ...options };
  const count = points.length >> 2;
  if (count < FEWEST_MATCHES) return undefined;
  const limit = limitPx / focalPx;
  const random = createRandom(seed);
  const sift = thinned(points, SIFT_MATCHES);
  const turn = bestRotation(points);
  const parallaxPx = turn.medianAngle * focalPx;

  const starts = [
    ...(near ?? [...essentialMotions(points, sift, limit, random), ...planeMotions(sift, 2 * limit, random)]),
    ...translationsFor(points, turn.rotation),
  ];
  const rough = starts.map((start) => {
    const { motion } = refineMotion(sift, start, { scale: 2 * limit, steps: 4 });
    return { motion, cost: msacCost(sift, motion, limit) };
  });
  const most = thinned(points, FINAL_MATCHES);
  const kept = distinct(rough, candidates);
  const plausible = kept.filter(({ cost }) => cost <= kept[0].cost + WORSE_BY);
  const final = plausible.map(({ motion }) => {
    const refined = refineMotion(most, motion, { scale: limit, steps: 10 }).motion;
    return describe(points, refined, limit, USABLE_PARALLAX_PX / focalPx);
  });
  const sorted = distinct(
    final.map((candidate) => ({
      motion: candidate,
      cost: candidate.cost + (candidate.inFrontRatio < IN_FRONT ? 1 : 0),
    })),
    candidates,
  ).map(({ motion }) => motion);
  return { kind: parallaxPx <= TURN_MEDIAN_PX ? "pure-rotation" : "moved", candidates: sorted, parallaxPx };
}

/** About so many of the matches at most, spread over all. */
function thinned(points: Correspondences, most: number): Correspondences {
  const count = points.length >> 2;
  const stride = Math.max(1, Math.round(count / most));
  if (stride === 1) return points;
  const some = new Float64Array(4 * Math.ceil(count / stride));
  for (let k = 0; k < some.length; k++) some[k] = points[k + 4 * (stride - 1) * (k >> 2)];
  return some;
}

interface Scored<T extends Motion> {
  readonly motion: T;
  readonly cost: number;
}

/** Cheapest first, without near copies of a cheaper one: nearer than a pair tells them apart (chosen, not measured). */
function distinct<T extends Motion>(scored: readonly Scored<T>[], most: number): Scored<T>[] {
  const kept: Scored<T>[] = [];
  for (const one of [...scored].sort((p, q) => p.cost - q.cost)) {
    if (kept.length === most) break;
    const copy = kept.some(
      ({ motion }) =>
        rotationAngleDeg(motion.rotation, one.motion.rotation) < 0.5 &&
        angleDegBetween(motion.translation, one.motion.translation) < 5,
    );
    if (!copy) kept.push(one);
  }
  return kept;
}

export function describe(
  points: Correspondences,
  motion: Motion,
  limit: number,
  usable: number,
): PoseCandidate {
  const inliers = inliersOf(points, motion, limit);
  return {
    rotation: motion.rotation,
    translation: motion.translation,
    cost: msacCost(points, motion, limit),
    inFrontRatio: inFrontRatio(points, motion, inliers, usable),
    inliers: inliers.length,
  };
}

/** Share in front of both cameras; 1 where no point has enough parallax to say. */
function inFrontRatio(
  points: Correspondences,
  motion: Motion,
  which: readonly number[],
  usable: number,
): number {
  const { inA, inB, parallax } = depthsOf(points, motion);
  let front = 0;
  let usableCount = 0;
  for (const i of which) {
    if (parallax[i] < usable) continue;
    usableCount++;
    if (inA[i] > 0 && inB[i] > 0) front++;
  }
  return usableCount > 0 ? front / usableCount : 1;
}

/**
 * The best few essential matrices of random five-point samples, each as the motion with most points in front.
 *
 * @param sift matches they are judged on
 */
function essentialMotions(
  points: Correspondences,
  sift: Correspondences,
  limit: number,
  random: Random,
): Motion[] {
  const count = points.length >> 2;
  const sample = new Int32Array(5);
  const best: { e: Float64Array; cost: number }[] = [];
  let needed = MOST_SAMPLES;
  for (let n = 0; n < needed; n++) {
    drawSample(random, count, 5, sample);
    for (const e of fivePoint(points, sample)) {
      const worst = best.length === 4 ? best[3].cost : 1;
      const cost = msacCostOfEssential(sift, e, 2 * limit, worst);
      if (cost >= worst) continue;
      best.push({ e, cost });
      best.sort((p, q) => p.cost - q.cost);
      if (best.length > 4) best.pop();
      // A truncated cost of c leaves at least 1 - c of the matches fitting.
      const enough = sampleCount(Math.max(0.05, 1 - best[0].cost), 5, 0.99);
      needed = Math.min(MOST_SAMPLES, Math.max(FEWEST_SAMPLES, 2 * enough));
    }
  }
  return best.map(({ e }) => inFrontMotion(sift, motionsOf(e)));
}

function inFrontMotion(points: Correspondences, motions: readonly Motion[]): Motion {
  let most = -1;
  let chosen = motions[0];
  for (const motion of motions) {
    const { inA, inB } = depthsOf(points, motion);
    let front = 0;
    for (let i = 0; i < inA.length; i++) if (inA[i] > 0 && inB[i] > 0) front++;
    if (front > most) {
      most = front;
      chosen = motion;
    }
  }
  return chosen;
}

/** Both motions of the dominant plane's homography, each with its translation and against it where that is open. */
function planeMotions(points: Correspondences, limit: number, random: Random): Motion[] {
  const count = points.length >> 2;
  const inA = new Float64Array(2 * count);
  const inB = new Float64Array(2 * count);
  for (let i = 0; i < count; i++) {
    inA[2 * i] = points[4 * i];
    inA[2 * i + 1] = points[4 * i + 1];
    inB[2 * i] = points[4 * i + 2];
    inB[2 * i + 1] = points[4 * i + 3];
  }
  const sample = new Int32Array(4);
  let best: Float64Array | undefined;
  let lowest = Number.POSITIVE_INFINITY;
  const weights = new Float64Array(count);
  for (let n = 0; n < PLANE_SAMPLES; n++) {
    drawSample(random, count, 4, sample);
    const h = homographyFromFour(inA, inB, sample);
    if (!h) continue;
    const cost = planeCost(points, h, limit, weights);
    if (cost < lowest) {
      lowest = cost;
      best = h;
    }
  }
  if (!best) return [];
  for (let pass = 0; pass < 2; pass++) {
    planeCost(points, best, 2 * limit, weights);
    best = fitHomography(inA, inB, weights) ?? best;
  }
  return motionsOfHomography(best);
}

/** Truncated transfer cost in b; also writes a weight of 1 for each point that fits, 0 for the others. */
function planeCost(points: Correspondences, h: Float64Array, limit: number, weights: Float64Array): number {
  const squared = limit * limit;
  let sum = 0;
  for (let i = 0; i < weights.length; i++) {
    const x = points[4 * i];
    const y = points[4 * i + 1];
    const w = h[6] * x + h[7] * y + h[8];
    const dx = (h[0] * x + h[1] * y + h[2]) / w - points[4 * i + 2];
    const dy = (h[3] * x + h[4] * y + h[5]) / w - points[4 * i + 3];
    const cost = (dx * dx + dy * dy) / squared;
    weights[i] = cost < 1 ? 1 : 0;
    sum += Math.min(cost, 1);
  }
  return sum;
}

/** Translations that go best with a given rotation: t is across every (rotation xa) x xb. Both signs. */
function translationsFor(points: Correspondences, rotation: Mat3): Motion[] {
  const translation = translationGiven(points, rotation);
  return [
    { rotation, translation },
    { rotation, translation: translation.map((c) => -c) },
  ];
}
