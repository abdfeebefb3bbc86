import { fitFundamental, fundamentalFromPlane, sevenPointFundamental } from "../geometry/fundamental.js";
import {
  fitHomography,
  homographyFromFour,
  invertHomography,
  transferError,
} from "../geometry/homography.js";
import { drawSample, type Random } from "../geometry/random.js";
import { sampleCount } from "../geometry/sampling.js";
import { sampsonSquared } from "../geometry/sampson.js";
import type { Correspondences } from "./correspondences.js";

/** A model and what it costs: the sum over all matches of min(squared residual, squared tolerance). */
export interface Fit {
  readonly matrix: Float64Array;
  readonly cost: number;
  /** Squared residual of every match. */
  readonly residuals: Float64Array;
}

/** How one kind of model is drawn, refined and judged. */
interface Kind {
  readonly sampleSize: number;
  readonly fromSample: (matches: Correspondences, sample: Int32Array) => Float64Array[];
  readonly refit: (from: Float64Array, to: Float64Array, weights: Float64Array) => Float64Array | undefined;
  /**
   * Cost of a model over every `stride`-th match, whose squared residuals it writes to their places in `residuals`;
   * Infinity as soon as it reaches giveUpAt.
   */
  readonly measure: (
    matrix: Float64Array,
    matches: Correspondences,
    tolerance: number,
    residuals: Float64Array,
    stride: number,
    giveUpAt: number,
  ) => number;
}

const CONFIDENCE = 0.999;
const MOST_SAMPLES = 1000;
const REFINE_ROUNDS = 4;
/** A sampled model is first tried on about this many matches; only one that does better there than the best on all. */
const SIFT_MATCHES = 100;
/** Samples of two matches off the plane. Two right ones give no good epipole yet: they have to lie well apart too. */
const FEWEST_PARALLAX_SAMPLES = 30;
const MOST_PARALLAX_SAMPLES = 200;

const homographyKind: Kind = {
  sampleSize: 4,
  fromSample: ({ a, b }, sample) => {
    if (!keepsOrientation(a, b, sample)) return [];
    const h = homographyFromFour(a, b, sample);
    return h === undefined ? [] : [h];
  },
  refit: fitHomography,
  measure: (h, { a, b, count }, tolerance, residuals, stride, giveUpAt) => {
    const inverse = invertHomography(h);
    if (inverse === undefined) return Number.POSITIVE_INFINITY;
    const limit = tolerance * tolerance;
    let cost = 0;
    for (let i = 0; i < count && cost < giveUpAt; i += stride) {
      residuals[i] = transferError(h, inverse, a[2 * i], a[2 * i + 1], b[2 * i], b[2 * i + 1]);
      cost += residuals[i] < limit ? residuals[i] : limit;
    }
    return cost < giveUpAt ? cost : Number.POSITIVE_INFINITY;
  },
};

const epipolarKind: Kind = {
  sampleSize: 7,
  fromSample: (matches, sample) => sevenPointFundamental(matches.a, matches.b, sample),
  refit: fitFundamental,
  measure: (f, { a, b, count }, tolerance, residuals, stride, giveUpAt) => {
    const limit = tolerance * tolerance;
    let cost = 0;
    for (let i = 0; i < count && cost < giveUpAt; i += stride) {
      residuals[i] = sampsonSquared(f, a[2 * i], a[2 * i + 1], b[2 * i], b[2 * i + 1]);
      cost += residuals[i] < limit ? residuals[i] : limit;
    }
    return cost < giveUpAt ? cost : Number.POSITIVE_INFINITY;
  },
};

/**
 * Best homography by random sampling (MSAC) with local refinement.
 *
 * @param pool matches that samples are drawn from; all matches are judged
 * @param tolerance largest residual of an inlier, units of the correspondences
 * @see Torr and Zisserman 2000, MLESAC, for the cost; Chum, Matas and Kittler 2003 for the local refinement
 */
export function searchHomography(
  matches: Correspondences,
  pool: Int32Array,
  tolerance: number,
  random: Random,
): Fit | undefined {
  return sampleModels(homographyKind, matches, pool, tolerance, random, undefined);
}

/**
 * Best fundamental matrix by random sampling over seven matches, and, where a plane is known, over pairs of
 * matches off that plane: seven matches mostly on one plane fix no epipole.
 *
 * @see Chum, Werner and Matas 2005, Two-view geometry estimation unaffected by a dominant plane, for the idea
 */
export function searchEpipolar(
  matches: Correspondences,
  pool: Int32Array,
  tolerance: number,
  random: Random,
  plane: Fit | undefined,
): Fit | undefined {
  const start = plane === undefined ? undefined : sampleParallax(matches, pool, tolerance, random, plane);
  return sampleModels(epipolarKind, matches, pool, tolerance, random, start);
}

function sampleModels(
  kind: Kind,
  matches: Correspondences,
  pool: Int32Array,
  tolerance: number,
  random: Random,
  start: Fit | undefined,
): Fit | undefined {
  if (pool.length < kind.sampleSize) return start;
  const stride = Math.max(1, Math.round(matches.count / SIFT_MATCHES));
  const residuals = new Float64Array(matches.count);
  const siftCost = (matrix: Float64Array, giveUpAt: number) =>
    kind.measure(matrix, matches, tolerance, residuals, stride, giveUpAt);
  let best = start;
  let bestOfSift = Number.POSITIVE_INFINITY;
  let needed = MOST_SAMPLES;
  const take = (fit: Fit) => {
    best = fit;
    bestOfSift = siftCost(fit.matrix, Number.POSITIVE_INFINITY);
    needed = samplesFor(kind, fit, pool, tolerance);
  };
  if (start !== undefined) take(start);
  const sample = new Int32Array(kind.sampleSize);
  for (let round = 0; round < needed; round++) {
    drawSample(random, pool.length, kind.sampleSize, sample);
    for (let k = 0; k < sample.length; k++) sample[k] = pool[sample[k]];
    for (const matrix of kind.fromSample(matches, sample)) {
      if (siftCost(matrix, bestOfSift) >= bestOfSift) continue;
      const giveUpAt = best?.cost ?? Number.POSITIVE_INFINITY;
      const cost = kind.measure(matrix, matches, tolerance, residuals, 1, giveUpAt);
      if (cost < giveUpAt)
        take(refine(kind, { matrix, cost, residuals: residuals.slice() }, matches, tolerance));
    }
  }
  return best;
}

function sampleParallax(
  matches: Correspondences,
  pool: Int32Array,
  tolerance: number,
  random: Random,
  plane: Fit,
): Fit | undefined {
  const off = pool.filter((i) => plane.residuals[i] > (2 * tolerance) ** 2);
  if (off.length < 2) return undefined;
  const { a, b } = matches;
  const residuals = new Float64Array(matches.count);
  const sample = new Int32Array(2);
  let best: Fit | undefined;
  let needed = Math.min(MOST_PARALLAX_SAMPLES, off.length * (off.length - 1));
  for (let round = 0; round < needed; round++) {
    drawSample(random, off.length, 2, sample);
    const p = 2 * off[sample[0]];
    const q = 2 * off[sample[1]];
    const f = fundamentalFromPlane(
      plane.matrix,
      a[p],
      a[p + 1],
      b[p],
      b[p + 1],
      a[q],
      a[q + 1],
      b[q],
      b[q + 1],
    );
    if (f === undefined) continue;
    const giveUpAt = best?.cost ?? Number.POSITIVE_INFINITY;
    const cost = epipolarKind.measure(f, matches, tolerance, residuals, 1, giveUpAt);
    if (cost >= giveUpAt) continue;
    best = { matrix: f, cost, residuals: residuals.slice() };
    const enough = sampleCount(insideRatio(best, off, tolerance), 2, CONFIDENCE);
    needed = Math.min(needed, Math.max(FEWEST_PARALLAX_SAMPLES, enough));
  }
  return best === undefined ? undefined : refine(epipolarKind, best, matches, tolerance);
}

/** Weighted least squares over the inliers, again and again while the cost falls. */
function refine(kind: Kind, fit: Fit, matches: Correspondences, tolerance: number): Fit {
  let best = fit;
  const residuals = new Float64Array(matches.count);
  for (let round = 0; round < REFINE_ROUNDS; round++) {
    // Widening the first round draws in matches that a noisy minimal sample just missed.
    const cut = (round === 0 ? 2 : 1) * tolerance;
    const inliers = inliersOf(best, cut);
    if (inliers.length <= kind.sampleSize) break;
    const from = new Float64Array(2 * inliers.length);
    const to = new Float64Array(2 * inliers.length);
    const weights = new Float64Array(inliers.length);
    inliers.forEach((i, k) => {
      copyPoint(matches, i, from, to, k);
      weights[k] = 1 - best.residuals[i] / (cut * cut);
    });
    const matrix = kind.refit(from, to, weights);
    if (matrix === undefined) break;
    const cost = kind.measure(matrix, matches, tolerance, residuals, 1, best.cost);
    if (cost < best.cost) best = { matrix, cost, residuals: residuals.slice() };
    else if (round > 0) break;
  }
  return best;
}

/** Matches within the tolerance, rising. */
export function inliersOf(fit: Fit, tolerance: number): number[] {
  const limit = tolerance * tolerance;
  const inliers: number[] = [];
  for (let i = 0; i < fit.residuals.length; i++) if (fit.residuals[i] <= limit) inliers.push(i);
  return inliers;
}

function samplesFor(kind: Kind, fit: Fit, pool: Int32Array, tolerance: number): number {
  return Math.min(MOST_SAMPLES, sampleCount(insideRatio(fit, pool, tolerance), kind.sampleSize, CONFIDENCE));
}

/** Share of some of the matches that lie within the tolerance, 0 to 1. */
function insideRatio(fit: Fit, some: Int32Array, tolerance: number): number {
  const limit = tolerance * tolerance;
  let inside = 0;
  for (const i of some) if (fit.residuals[i] <= limit) inside++;
  return inside / some.length;
}

function copyPoint(
  matches: Correspondences,
  i: number,
  from: Float64Array,
  to: Float64Array,
  k: number,
): void {
  from[2 * k] = matches.a[2 * i];
  from[2 * k + 1] = matches.a[2 * i + 1];
  to[2 * k] = matches.b[2 * i];
  to[2 * k + 1] = matches.b[2 * i + 1];
}

/** A view of a plane from its front keeps the turning sense of every three points. */
function keepsOrientation(a: Float64Array, b: Float64Array, sample: Int32Array): boolean {
  for (let skip = 0; skip < 4; skip++) {
    const p = sample[skip === 0 ? 1 : 0];
    const q = sample[skip <= 1 ? 2 : 1];
    const r = sample[skip === 3 ? 2 : 3];
    if (turningSense(a, p, q, r) * turningSense(b, p, q, r) <= 0) return false;
  }
  return true;
}

function turningSense(points: Float64Array, p: number, q: number, r: number): number {
  const ux = points[2 * q] - points[2 * p];
  const uy = points[2 * q + 1] - points[2 * p + 1];
  const vx = points[2 * r] - points[2 * p];
  const vy = points[2 * r + 1] - points[2 * p + 1];
  return ux * vy - uy * vx;
}
