import { median } from "../statistics.js";
/** Six numbers: (x, y) goes to (m[0] x + m[1] y + m[2], m[3] x + m[4] y + m[5]). */
export type Affine = Float64Array;

const ROUNDS = 20;
/** Change of the map (its numbers, relative where large) at which it has settled: a thousandth of a px of 1200. */
const SETTLED = 1e-6;
/** Residual scale supposed at first beside a prior: parallax of a fortieth of half the long edge, units of the points. */
const START_SIGMA = 0.025;
/** Cut of Tukey's biweight in robust standard deviations: 95 % efficient on Gaussian noise (Huber 1981, from memory). */
const TUKEY_CUT = 4.685;
/** Median absolute deviation to standard deviation, for lengths of two-dimensional Gaussian residuals: 1 / sqrt(2 ln 2). */
const MEDIAN_TO_SIGMA = 0.849;

/**
 * What is known of the map before any point is seen: its linear part lies about `linear` (m[0], m[1], m[3], m[4]), with
 * standard deviation `sigma` each. Points whose errors hang together count for no more than `worth` independent ones.
 */
export interface AffinePrior {
  readonly linear: readonly [number, number, number, number];
  readonly sigma: number;
  readonly worth: number;
}

/**
 * Affine map that fits most of the points: least squares, reweighted by Tukey's biweight at a scale taken from the
 * median residual of each round. Bears up to about a third of wrong points, so give it verified matches.
 *
 * @param from x, y interleaved, at least 3 points
 * @param floor smallest residual scale, in units of the points: below it nothing is cut
 * @param prior steadies a map that points in a narrow strip fix badly; none where left out
 * @returns undefined when fewer than 3 points are given or they lie on one line
 */
export function fitAffine(
  from: ArrayLike<number>,
  to: ArrayLike<number>,
  floor: number,
  prior?: AffinePrior,
): Affine | undefined {
  const count = from.length >> 1;
  if (count < 3) return undefined;
  const weights = new Float64Array(count).fill(1);
  const residuals = new Float64Array(count);
  let best: Affine | undefined;
  // Points in a strip say little of the map across it: start from their parallax, not from their fit.
  let sigma = prior === undefined ? floor : Math.max(floor, START_SIGMA);
  for (let round = 0; round < ROUNDS; round++) {
    const next = leastSquares(from, to, weights, sigma, prior);
    if (next === undefined) return best;
    const moved = best === undefined ? Number.POSITIVE_INFINITY : largestChange(best, next);
    best = next;
    for (let i = 0; i < count; i++) residuals[i] = residual(next, from, to, i);
    sigma = Math.max(floor, MEDIAN_TO_SIGMA * median(residuals));
    // The first rounds judge with a loose cut: plain least squares may still be far off.
    const cut = TUKEY_CUT * sigma * (round < 3 ? 2 : 1);
    for (let i = 0; i < count; i++) {
      const r = residuals[i] / cut;
      weights[i] = r < 1 ? (1 - r * r) ** 2 : 0;
    }
    if (round > 3 && moved < SETTLED) break;
  }
  return best;
}

function leastSquares(
  from: ArrayLike<number>,
  to: ArrayLike<number>,
  weights: Float64Array,
  sigma: number,
  prior: AffinePrior | undefined,
): Affine | undefined {
  let w = 0,
    mx = 0,
    my = 0,
    mu = 0,
    mv = 0;
  for (let i = 0; i < weights.length; i++) {
    w += weights[i];
    mx += weights[i] * from[2 * i];
    my += weights[i] * from[2 * i + 1];
    mu += weights[i] * to[2 * i];
    mv += weights[i] * to[2 * i + 1];
  }
  if (!(w > 0)) return undefined;
  mx /= w;
  my /= w;
  mu /= w;
  mv /= w;
  let xx = 0,
    xy = 0,
    yy = 0,
    ux = 0,
    uy = 0,
    vx = 0,
    vy = 0;
  for (let i = 0; i < weights.length; i++) {
    const x = from[2 * i] - mx;
    const y = from[2 * i + 1] - my;
    const u = weights[i] * (to[2 * i] - mu);
    const v = weights[i] * (to[2 * i + 1] - mv);
    xx += weights[i] * x * x;
    xy += weights[i] * x * y;
    yy += weights[i] * y * y;
    ux += u * x;
    uy += u * y;
    vx += v * x;
    vy += v * y;
  }
  if (prior !== undefined) {
    // Normal equations of the fit plus those of the prior, in the weight of all points.
    const priorWeight = (w * sigma * sigma) / (Math.min(prior.worth, w) * prior.sigma * prior.sigma);
    const [a, b, c, d] = prior.linear;
    xx += priorWeight;
    yy += priorWeight;
    ux += priorWeight * a;
    uy += priorWeight * b;
    vx += priorWeight * c;
    vy += priorWeight * d;
  }
  const det = xx * yy - xy * xy;
  if (!(det > 1e-9 * (xx + yy) ** 2)) return undefined;
  const a = (ux * yy - uy * xy) / det;
  const b = (uy * xx - ux * xy) / det;
  const c = (vx * yy - vy * xy) / det;
  const d = (vy * xx - vx * xy) / det;
  return Float64Array.of(a, b, mu - a * mx - b * my, c, d, mv - c * mx - d * my);
}

function residual(m: Affine, from: ArrayLike<number>, to: ArrayLike<number>, i: number): number {
  const x = from[2 * i];
  const y = from[2 * i + 1];
  const dx = m[0] * x + m[1] * y + m[2] - to[2 * i];
  const dy = m[3] * x + m[4] * y + m[5] - to[2 * i + 1];
  return Math.sqrt(dx * dx + dy * dy);
}

function largestChange(p: Affine, q: Affine): number {
  let most = 0;
  for (let k = 0; k < 6; k++) most = Math.max(most, Math.abs(p[k] - q[k]) / (1 + Math.abs(q[k])));
  return most;
}
