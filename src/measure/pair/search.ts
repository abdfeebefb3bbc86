import { type Arena, withArena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
import { fitFundamental } from "../geometry/fundamental.js";
import { fitHomography } from "../geometry/homography.js";
import type { Random } from "../geometry/random.js";
import { sampleCount } from "../geometry/sampling.js";
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
  /** Matches a sample; the kernel knows the kind by it. */
  readonly sampleSize: number;
  readonly errors: "transferErrors" | "sampsonErrors";
  readonly refit: (from: Float64Array, to: Float64Array, weights: Float64Array) => Float64Array | undefined;
}

const HOMOGRAPHY: Kind = { sampleSize: 4, errors: "transferErrors", refit: fitHomography };
const FUNDAMENTAL: Kind = { sampleSize: 7, errors: "sampsonErrors", refit: fitFundamental };
/** Matches that fix a fundamental matrix where a plane is known. */
const BESIDE_PLANE = 2;

const CONFIDENCE = 0.999;
const MOST_SAMPLES = 1000;
const REFINE_ROUNDS = 4;
/** A sampled model is first tried on about this many matches; only one that does better there than the best on all. */
const SIFT_MATCHES = 100;
/** Samples of two matches off the plane. Two right ones give no good epipole yet: they have to lie well apart too. */
const FEWEST_PARALLAX_SAMPLES = 30;
const MOST_PARALLAX_SAMPLES = 200;

/** Matched positions alone. */
type PointPairs = Pick<Correspondences, "a" | "b" | "count">;

/** Matches as the kernel takes them: see sampling.ts there. */
interface Rows {
  readonly at: Address;
  readonly count: number;
}

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
  return withArena((arena) =>
    new Sampler(HOMOGRAPHY, matches, tolerance, random, arena).search(pool, undefined),
  );
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
  return withArena((arena) => {
    const sampler = new Sampler(FUNDAMENTAL, matches, tolerance, random, arena);
    return sampler.search(pool, plane && sampler.searchBeside(plane, pool));
  });
}

/** How many of some matches lie within the tolerance of a homography; undefined where it is singular. */
export function countOnPlane(h: Float64Array, matches: PointPairs, tolerance: number): number | undefined {
  return countWithin(HOMOGRAPHY, h, matches, tolerance);
}

/** How many of some matches lie within the tolerance of a fundamental matrix. */
export function countOnLines(f: Float64Array, matches: PointPairs, tolerance: number): number {
  return countWithin(FUNDAMENTAL, f, matches, tolerance) ?? 0;
}

function countWithin(
  { errors }: Kind,
  matrix: Float64Array,
  matches: PointPairs,
  tolerance: number,
): number | undefined {
  return withArena((arena) => {
    const { at, count } = rowsOf(matches, 1, arena);
    const limit = tolerance * tolerance;
    const residuals = arena.take(8 * count);
    const all = Number.POSITIVE_INFINITY;
    const cost = kernels()[errors](at, count, arena.doubles(matrix), limit, all, residuals);
    if (cost === Number.POSITIVE_INFINITY) return undefined;
    return countUpTo(arena.f64(residuals, count), limit);
  });
}

/** Where the kernel keeps what it knows of a search, in numbers and in words of 32 bits: see Search there. */
const COST = 0;
const SIFT_COST = 1;
const STATE = 4;
const ROUND = 5;
const NEEDED = 6;
const MODELS = 7;
const TRIED = 8;
const MODEL = 5;
const PLANE = MODEL + 9;
const NUMBERS = PLANE + 9 + 3 * 9;

/** Draws models of one kind among the matches of two photos, in the kernels' memory. */
class Sampler {
  readonly #kind: Kind;
  readonly #matches: Correspondences;
  readonly #tolerance: number;
  readonly #random: Random;
  readonly #arena: Arena;
  readonly #rows: Rows;
  readonly #sift: Rows;
  readonly #residuals: Float64Array;
  readonly #matrix: Float64Array;
  readonly #numbers: Float64Array;
  readonly #words: Int32Array;

  constructor(kind: Kind, matches: Correspondences, tolerance: number, random: Random, arena: Arena) {
    this.#kind = kind;
    this.#matches = matches;
    this.#tolerance = tolerance;
    this.#random = random;
    this.#arena = arena;
    this.#rows = rowsOf(matches, 1, arena);
    this.#sift = rowsOf(matches, Math.max(1, Math.round(matches.count / SIFT_MATCHES)), arena);
    this.#residuals = arena.f64(arena.take(8 * matches.count), matches.count);
    this.#matrix = arena.f64(arena.take(8 * 9), 9);
    const search = arena.take(8 * NUMBERS);
    this.#numbers = arena.f64(search, NUMBERS);
    this.#words = arena.i32(search, 2 * NUMBERS);
  }

  /** The best model of the kind, `start` or one that beats it. */
  search(pool: Int32Array, start: Fit | undefined): Fit | undefined {
    const { sampleSize } = this.#kind;
    if (pool.length < sampleSize) return start;
    const poolAt = this.#arena.copy(pool);
    this.#begin(MOST_SAMPLES);
    let best = start;
    const take = (fit: Fit): void => {
      best = fit;
      this.#numbers[COST] = fit.cost;
      this.#numbers[SIFT_COST] = this.#costOf(fit.matrix, this.#sift, Number.POSITIVE_INFINITY);
      const enough = sampleCount(this.#insideRatio(fit, pool), sampleSize, CONFIDENCE);
      this.#words[NEEDED] = Math.min(MOST_SAMPLES, enough);
    };
    if (start !== undefined) take(start);
    for (;;) {
      const found = this.#draw(sampleSize, poolAt, pool.length, this.#sift);
      if (found === undefined) break;
      take(this.#refine(found));
    }
    this.#random.state = this.#words[STATE];
    return best;
  }

  /** The best fundamental matrix of a scene whose plane is known. */
  searchBeside(plane: Fit, pool: Int32Array): Fit | undefined {
    const off = pool.filter((i) => plane.residuals[i] > (2 * this.#tolerance) ** 2);
    if (off.length < BESIDE_PLANE) return undefined;
    const poolAt = this.#arena.copy(off);
    this.#begin(Math.min(MOST_PARALLAX_SAMPLES, off.length * (off.length - 1)));
    this.#numbers.set(plane.matrix, PLANE);
    let best: Fit | undefined;
    for (;;) {
      const found = this.#draw(BESIDE_PLANE, poolAt, off.length, { at: this.#sift.at, count: 0 });
      if (found === undefined) break;
      best = found;
      const enough = sampleCount(this.#insideRatio(best, off), BESIDE_PLANE, CONFIDENCE);
      this.#words[NEEDED] = Math.min(this.#words[NEEDED], Math.max(FEWEST_PARALLAX_SAMPLES, enough));
    }
    this.#random.state = this.#words[STATE];
    return best && this.#refine(best);
  }

  #begin(samples: number): void {
    this.#numbers[COST] = Number.POSITIVE_INFINITY;
    this.#numbers[SIFT_COST] = Number.POSITIVE_INFINITY;
    this.#words[STATE] = this.#random.state;
    this.#words[NEEDED] = samples;
    for (const word of [ROUND, MODELS, TRIED]) this.#words[word] = 0;
  }

  /** The next model that beats the best. */
  #draw(size: number, pool: Address, poolSize: number, sift: Rows): Fit | undefined {
    const found = kernels().sampleModels(
      size,
      this.#rows.at,
      this.#rows.count,
      sift.at,
      sift.count,
      pool,
      poolSize,
      this.#tolerance ** 2,
      this.#residuals.byteOffset,
      this.#numbers.byteOffset,
    );
    if (found === 0) return undefined;
    const matrix = this.#numbers.slice(MODEL, MODEL + 9);
    return { matrix, cost: this.#numbers[COST], residuals: this.#residuals.slice() };
  }

  /** Cost of a model, whose squared residuals it leaves in `residuals`; Infinity as soon as it reaches giveUpAt. */
  #costOf(matrix: Float64Array, { at, count }: Rows, giveUpAt: number): number {
    this.#matrix.set(matrix);
    const [matrixAt, residuals] = [this.#matrix.byteOffset, this.#residuals.byteOffset];
    return kernels()[this.#kind.errors](at, count, matrixAt, this.#tolerance ** 2, giveUpAt, residuals);
  }

  /** Weighted least squares over the inliers, again and again while the cost falls. */
  #refine(fit: Fit): Fit {
    let best = fit;
    for (let round = 0; round < REFINE_ROUNDS; round++) {
      // Widening the first round draws in matches that a noisy minimal sample just missed.
      const cut = (round === 0 ? 2 : 1) * this.#tolerance;
      const inliers = inliersOf(best, cut);
      if (inliers.length <= this.#kind.sampleSize) break;
      const from = new Float64Array(2 * inliers.length);
      const to = new Float64Array(2 * inliers.length);
      const weights = new Float64Array(inliers.length);
      inliers.forEach((i, k) => {
        copyPoint(this.#matches, i, from, to, k);
        weights[k] = 1 - best.residuals[i] / (cut * cut);
      });
      const matrix = this.#kind.refit(from, to, weights);
      if (matrix === undefined) break;
      const cost = this.#costOf(matrix, this.#rows, best.cost);
      if (cost < best.cost) best = { matrix, cost, residuals: this.#residuals.slice() };
      else if (round > 0) break;
    }
    return best;
  }

  /** Share of some of the matches that lie within the tolerance, 0 to 1. */
  #insideRatio(fit: Fit, some: Int32Array): number {
    let inside = 0;
    for (const i of some) if (fit.residuals[i] <= this.#tolerance ** 2) inside++;
    return inside / some.length;
  }
}

/** Every `stride`-th match as the kernel takes them: rows of xa, ya, xb and yb, each of an even number. */
function rowsOf({ a, b, count }: PointPairs, stride: number, arena: Arena): Rows {
  const some = Math.ceil(count / stride);
  const row = 2 * Math.ceil(some / 2);
  const at = arena.take(8 * 4 * row);
  const rows = arena.f64(at, 4 * row);
  for (let k = 0; k < some; k++) {
    const i = 2 * stride * k;
    rows[k] = a[i];
    rows[k + row] = a[i + 1];
    rows[k + 2 * row] = b[i];
    rows[k + 3 * row] = b[i + 1];
  }
  return { at, count: some };
}

/** Matches within the tolerance, rising. */
export function inliersOf(fit: Fit, tolerance: number): number[] {
  const limit = tolerance * tolerance;
  const inliers: number[] = [];
  for (let i = 0; i < fit.residuals.length; i++) if (fit.residuals[i] <= limit) inliers.push(i);
  return inliers;
}

function countUpTo(values: Float64Array, limit: number): number {
  let count = 0;
  for (const value of values) if (value <= limit) count++;
  return count;
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
