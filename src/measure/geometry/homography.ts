import { PRODUCT, sumProducts } from "./point-products.js";
import { symmetricEigen } from "./symmetric-eigen.js";

/** Nine numbers, row-major: maps (x, y, 1) of one picture to the other's, up to scale. */
export type Homography = Float64Array;

/**
 * Homography by the normalised direct linear transform: least squares of the algebraic error.
 *
 * @param from x, y interleaved, at least 4 points
 * @param to where they land, same length
 * @param weights one a point; 1 where left out
 * @returns unit Frobenius norm; undefined where the points do not fix it (fewer than 4, or degenerate)
 * @see Hartley and Zisserman 2004, algorithm 4.2
 */
export function fitHomography(
  from: ArrayLike<number>,
  to: ArrayLike<number>,
  weights?: ArrayLike<number>,
): Homography | undefined {
  const count = from.length >> 1;
  if (count < 4) return undefined;
  const { from: a, to: b, sums } = sumProducts(from, to, weights);
  // Each match gives the rows (0, -p, v p) and (p, 0, -u p) with p = (x, y, 1), so that the normal matrix is made of
  // four sums of p pT: plain, times u, times v and times u^2 + v^2.
  const [uu, u, vv, v, plain] = [0, 2, 3, 4, 5].map((q) => sums.subarray(6 * q, 6 * q + 6));
  const normal = new Float64Array(81);
  for (let r = 0; r < 3; r++) {
    for (let c = 0; c < 3; c++) {
      const k = PRODUCT[3 * r + c];
      normal[9 * r + c] = plain[k];
      normal[9 * (r + 3) + c + 3] = plain[k];
      normal[9 * r + c + 6] = -u[k];
      normal[9 * (r + 6) + c] = -u[k];
      normal[9 * (r + 3) + c + 6] = -v[k];
      normal[9 * (r + 6) + c + 3] = -v[k];
      normal[9 * (r + 6) + c + 6] = uu[k] + vv[k];
    }
  }
  const { values, vectors } = symmetricEigen(normal, 9);
  // A second null direction means that more than one homography fits.
  if (!(values[1] > 1e-10 * values[8])) return undefined;
  const h = Float64Array.from(vectors[0]);
  // back = inverse(b) * h * a
  const s = a.scale;
  for (let r = 0; r < 3; r++) {
    const p = h[3 * r];
    const q = h[3 * r + 1];
    h[3 * r] = p * s;
    h[3 * r + 1] = q * s;
    h[3 * r + 2] -= s * (p * a.centreX + q * a.centreY);
  }
  for (let c = 0; c < 3; c++) {
    h[c] = h[c] / b.scale + b.centreX * h[6 + c];
    h[3 + c] = h[3 + c] / b.scale + b.centreY * h[6 + c];
  }
  return toUnitNorm(h);
}

/**
 * The homography through exactly four matches, no three of them on a line, in closed form: both quadrangles are
 * reached from the same projective basis.
 *
 * @param from x, y interleaved, all matches of a; `to` those of b
 * @param indexes which four
 * @returns unit Frobenius norm; undefined where three points lie on a line
 */
export function homographyFromFour(
  from: ArrayLike<number>,
  to: ArrayLike<number>,
  indexes: ArrayLike<number>,
): Homography | undefined {
  const p = basisOf(from, indexes);
  const q = basisOf(to, indexes);
  if (p === undefined || q === undefined) return undefined;
  const inverse = invertHomography(p);
  if (inverse === undefined) return undefined;
  const h = new Float64Array(9);
  for (let r = 0; r < 9; r += 3) {
    for (let c = 0; c < 3; c++)
      h[r + c] = q[r] * inverse[c] + q[r + 1] * inverse[3 + c] + q[r + 2] * inverse[6 + c];
  }
  return toUnitNorm(h);
}

/**
 * Sends (1,0,0), (0,1,0), (0,0,1) and (1,1,1) to the four points: three of them are its columns, each times its share in
 * the fourth, which is the area of the triangle of the other three.
 */
function basisOf(points: ArrayLike<number>, indexes: ArrayLike<number>): Float64Array | undefined {
  const [i, j, k, l] = [2 * indexes[0], 2 * indexes[1], 2 * indexes[2], 2 * indexes[3]];
  const first = areaOf(points, l, j, k);
  const second = areaOf(points, i, l, k);
  const third = areaOf(points, i, j, l);
  if (first === 0 || second === 0 || third === 0) return undefined;
  const m = new Float64Array(9);
  m[0] = first * points[i];
  m[1] = second * points[j];
  m[2] = third * points[k];
  m[3] = first * points[i + 1];
  m[4] = second * points[j + 1];
  m[5] = third * points[k + 1];
  m[6] = first;
  m[7] = second;
  m[8] = third;
  return m;
}

/** Twice the signed area of the triangle of points at i, j and k. */
function areaOf(points: ArrayLike<number>, i: number, j: number, k: number): number {
  const x = points[i];
  const y = points[i + 1];
  return (points[j] - x) * (points[k + 1] - y) - (points[j + 1] - y) * (points[k] - x);
}

/** Scales nine numbers to unit norm in place; undefined when they are all zero or not finite. */
export function toUnitNorm(m: Float64Array): Float64Array | undefined {
  let sum = 0;
  for (let k = 0; k < 9; k++) sum += m[k] * m[k];
  if (!(sum > 0) || !Number.isFinite(sum)) return undefined;
  const scale = 1 / Math.sqrt(sum);
  for (let k = 0; k < 9; k++) m[k] *= scale;
  return m;
}

/** Inverse of a 3 x 3 matrix by its adjugate; undefined where it is singular. */
export function invertHomography(h: ArrayLike<number>): Homography | undefined {
  const out = new Float64Array(9);
  out[0] = h[4] * h[8] - h[5] * h[7];
  out[1] = h[2] * h[7] - h[1] * h[8];
  out[2] = h[1] * h[5] - h[2] * h[4];
  out[3] = h[5] * h[6] - h[3] * h[8];
  out[4] = h[0] * h[8] - h[2] * h[6];
  out[5] = h[2] * h[3] - h[0] * h[5];
  out[6] = h[3] * h[7] - h[4] * h[6];
  out[7] = h[1] * h[6] - h[0] * h[7];
  out[8] = h[0] * h[4] - h[1] * h[3];
  const det = h[0] * out[0] + h[1] * out[3] + h[2] * out[6];
  let norm = 0;
  for (let k = 0; k < 9; k++) norm += h[k] * h[k];
  if (!(Math.abs(det) > 1e-12 * (norm * Math.sqrt(norm)))) return undefined;
  for (let k = 0; k < 9; k++) out[k] /= det;
  return out;
}
