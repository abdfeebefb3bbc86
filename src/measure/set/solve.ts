import { solveDifferences } from "../differences.js";
import { partOfEach } from "../parts.js";
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
export function solveOffsets(count: number, differences: readonly Difference[], scale: number): Solution {
  const parts = partOfEach(count, differences);
  const observations = {
    from: Int32Array.from(differences, (d) => d.a),
    to: Int32Array.from(differences, (d) => d.b),
    difference: Float64Array.from(differences, (d) => d.value),
  };
  const weights = Float64Array.from(differences, (d) => d.weight);
  let values: Float64Array = new Float64Array(count);
  for (let pass = 0; pass < PASSES; pass++) {
    values = solveDifferences(count, 1, observations, weights, values);
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
