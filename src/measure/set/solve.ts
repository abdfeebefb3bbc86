import { median } from "../statistics.js";

/** One measured difference: value of photo b minus value of photo a. */
export interface Difference {
  readonly a: number;
  readonly b: number;
  readonly value: number;
  /** > 0: how far it is trusted against the others. */
  readonly weight: number;
}

export interface Solution {
  /** One value a photo, against the median of its part; undefined where no difference names the photo. */
  readonly values: readonly (number | undefined)[];
  /** Which connected part of the graph each photo belongs to; -1 for none. */
  readonly parts: Int32Array;
}

/** Passes of reweighting: the weights have settled by then in all sets tried. */
const PASSES = 10;

/**
 * One value a photo from differences between photos, by robust least squares over the graph: the values
 * minimise the sum of w log(1 + (r / scale)^2) over the residuals r, by iteratively reweighted least squares,
 * so that one bad difference does not pull its photos and one odd photo does not accuse its neighbours.
 * The normal equations are a weighted graph Laplacian, solved by conjugate gradients: memory and time grow
 * with the number of differences, where a dense factorisation grows with the cube of the number of photos.
 *
 * @param count number of photos
 * @param differences indexes in [0, count)
 * @param scale residual at which a difference starts to lose its say, in the unit of the values, > 0
 * @see Holland & Welsch 1977, "Robust regression using iteratively reweighted least-squares" (Cauchy weights)
 */
export function solveDifferences(count: number, differences: readonly Difference[], scale: number): Solution {
  const parts = connectedParts(count, differences);
  const values = new Float64Array(count);
  const weights = Float64Array.from(differences, (d) => d.weight);
  for (let pass = 0; pass < PASSES; pass++) {
    solveLeastSquares(values, differences, weights);
    for (const [i, d] of differences.entries()) {
      const residual = (values[d.b] - values[d.a] - d.value) / scale;
      weights[i] = d.weight / (1 + residual * residual);
    }
  }
  const byPart = new Map<number, number[]>();
  for (let i = 0; i < count; i++) {
    if (parts[i] === -1) continue;
    const list = byPart.get(parts[i]) ?? [];
    list.push(values[i]);
    byPart.set(parts[i], list);
  }
  const medians = new Map([...byPart].map(([part, list]) => [part, median(list)]));
  return {
    values: Array.from(values, (v, i) => (parts[i] === -1 ? undefined : v - medians.get(parts[i])!)),
    parts,
  };
}

/** The smallest photo index of each photo's part; -1 for photos that no difference names. */
export function connectedParts(
  count: number,
  links: readonly { readonly a: number; readonly b: number }[],
): Int32Array {
  const parent = Int32Array.from({ length: count }, (_, i) => i);
  const root = (i: number): number => {
    let at = i;
    while (parent[at] !== at) {
      parent[at] = parent[parent[at]];
      at = parent[at];
    }
    return at;
  };
  const named = new Uint8Array(count);
  for (const { a, b } of links) {
    named[a] = 1;
    named[b] = 1;
    const low = Math.min(root(a), root(b));
    const high = Math.max(root(a), root(b));
    parent[high] = low;
  }
  return Int32Array.from({ length: count }, (_, i) => (named[i] ? root(i) : -1));
}

/** Residual power, against that of the differences themselves, at which a solution is exact enough. */
const EXACT_ENOUGH = 1e-18;

/**
 * Conjugate gradients on the weighted graph Laplacian, from the values as they stand. Adding one number to all values
 * of a part changes no difference, so the way must not be followed once only rounding is left: it leads anywhere.
 */
function solveLeastSquares(
  values: Float64Array,
  differences: readonly Difference[],
  weights: Float64Array,
): void {
  const n = values.length;
  const residual = new Float64Array(n);
  let given = 0;
  for (const [i, d] of differences.entries()) {
    const pull = weights[i] * (d.value - (values[d.b] - values[d.a]));
    residual[d.b] += pull;
    residual[d.a] -= pull;
    given += (weights[i] * d.value) ** 2;
  }
  const direction = Float64Array.from(residual);
  const product = new Float64Array(n);
  let power = dot(residual, residual);
  for (let step = 0; step < 2 * n && power > EXACT_ENOUGH * given; step++) {
    product.fill(0);
    for (const [i, d] of differences.entries()) {
      const flow = weights[i] * (direction[d.b] - direction[d.a]);
      product[d.b] += flow;
      product[d.a] -= flow;
    }
    const alpha = power / dot(direction, product);
    for (let i = 0; i < n; i++) {
      values[i] += alpha * direction[i];
      residual[i] -= alpha * product[i];
    }
    const next = dot(residual, residual);
    for (let i = 0; i < n; i++) direction[i] = residual[i] + (next / power) * direction[i];
    power = next;
  }
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
}
