import { upperMedian } from "./statistics.js";

/** One observation for the unknowns of two nodes: value(to) - value(from) should be `difference`. */
export interface Differences {
  readonly from: Int32Array;
  readonly to: Int32Array;
  /** `size` numbers an observation. */
  readonly difference: Float64Array;
}

/**
 * Weighted least squares of differences over a graph: one vector of `size` numbers a node. Solved by conjugate
 * gradients, so that the cost grows with the observations and not with the square of the nodes. Each connected part is
 * determined up to a constant; its nodes come back with mean 0 weighted by nothing, starting from `start` or 0.
 *
 * @param weights one an observation, >= 0.
 * @returns nodes * size numbers.
 */
export function solveDifferences(
  nodes: number,
  size: number,
  observations: Differences,
  weights: Float64Array,
  start?: Float64Array,
): Float64Array {
  const { from, to, difference } = observations;
  const length = nodes * size;
  const x = start ? start.slice() : new Float64Array(length);
  const diagonal = new Float64Array(nodes);
  const residual = new Float64Array(length);
  for (let k = 0; k < from.length; k++) {
    const w = weights[k];
    const i = from[k];
    const j = to[k];
    diagonal[i] += w;
    diagonal[j] += w;
    for (let c = 0; c < size; c++) {
      const weighted = w * (difference[k * size + c] - x[j * size + c] + x[i * size + c]);
      residual[j * size + c] += weighted;
      residual[i * size + c] -= weighted;
    }
  }
  for (let i = 0; i < nodes; i++) diagonal[i] = diagonal[i] > 0 ? 1 / diagonal[i] : 0;
  const z = new Float64Array(length);
  const product = new Float64Array(length);
  for (let i = 0; i < length; i++) z[i] = diagonal[Math.floor(i / size)] * residual[i];
  const direction = z.slice();
  let rz = dotOf(residual, z);
  // Against the observations themselves, not against the start: a good start leaves only rounding, which must not be chased.
  let wanted = 0;
  for (let k = 0; k < difference.length; k++) wanted += weights[Math.floor(k / size)] * difference[k] ** 2;
  const target = 1e-20 * wanted;
  for (let step = 0; step < 4 * nodes && rz > target && rz > 0; step++) {
    product.fill(0);
    for (let k = 0; k < from.length; k++) {
      const w = weights[k];
      if (w === 0) continue;
      const i = from[k] * size;
      const j = to[k] * size;
      for (let c = 0; c < size; c++) {
        const weighted = w * (direction[j + c] - direction[i + c]);
        product[j + c] += weighted;
        product[i + c] -= weighted;
      }
    }
    const curvature = dotOf(direction, product);
    if (!(curvature > 0)) break;
    const alpha = rz / curvature;
    for (let i = 0; i < length; i++) {
      x[i] += alpha * direction[i];
      residual[i] -= alpha * product[i];
      z[i] = diagonal[Math.floor(i / size)] * residual[i];
    }
    const next = dotOf(residual, z);
    const beta = next / rz;
    rz = next;
    for (let i = 0; i < length; i++) direction[i] = z[i] + beta * direction[i];
  }
  return x;
}

function dotOf(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
}

/** How the weight of an observation falls with its residual: absolute deviation first, then Geman-McClure. */
export interface RobustOptions {
  readonly absolutePasses: number;
  readonly passes: number;
  /** Residual at which an observation's weight has fallen to a quarter; at least this, or twice the median residual. */
  readonly scale: number;
}

/**
 * Robust version of {@link solveDifferences} by iteratively reweighted least squares.
 *
 * @param weights the weight of each observation before reweighting.
 * @returns the solution, and each observation's residual length divided by its unit (1 where left out).
 */
export function solveRobustly(
  nodes: number,
  size: number,
  observations: Differences,
  weights: Float64Array,
  options: RobustOptions,
  units?: Float64Array,
): { values: Float64Array; residuals: Float64Array } {
  const count = observations.from.length;
  const current = weights.slice();
  const residuals = new Float64Array(count);
  let values: Float64Array = new Float64Array(nodes * size);
  for (let pass = 0; pass < options.passes; pass++) {
    values = solveDifferences(nodes, size, observations, current, values);
    residualsOf(size, observations, values, residuals, units);
    const scale = Math.max(options.scale, 2 * upperMedian(residuals));
    for (let k = 0; k < count; k++) {
      const q = residuals[k] / scale;
      current[k] =
        weights[k] * (pass < options.absolutePasses ? 1 / Math.max(q, 0.05) : 1 / (1 + q * q) ** 2);
    }
  }
  return { values, residuals };
}

function residualsOf(
  size: number,
  { from, to, difference }: Differences,
  values: Float64Array,
  residuals: Float64Array,
  units?: Float64Array,
): void {
  for (let k = 0; k < from.length; k++) {
    let sum = 0;
    for (let c = 0; c < size; c++) {
      sum += (difference[k * size + c] - values[to[k] * size + c] + values[from[k] * size + c]) ** 2;
    }
    residuals[k] = Math.sqrt(sum) / (units ? units[k] : 1);
  }
}
