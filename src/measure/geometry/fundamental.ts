import { toUnitNorm } from "./homography.js";
import { PRODUCT, sumProducts } from "./point-products.js";
import { symmetricEigen } from "./symmetric-eigen.js";

/** Nine numbers, row-major, rank 2: (u, v, 1) F (x, y, 1)T = 0 for (x, y) in a and (u, v) in b. */
export type Fundamental = Float64Array;

/**
 * Fundamental matrix by the normalised eight-point algorithm: least squares of the algebraic error, then rank 2.
 *
 * @param from points of a, x, y interleaved, at least 8
 * @param to the same points in b
 * @param weights one a point; 1 where left out
 * @returns unit Frobenius norm; undefined for fewer than 8 points
 * @see Hartley and Zisserman 2004, algorithm 11.1
 */
export function fitFundamental(
  from: ArrayLike<number>,
  to: ArrayLike<number>,
  weights?: ArrayLike<number>,
): Fundamental | undefined {
  const count = from.length >> 1;
  if (count < 8) return undefined;
  const { from: a, to: b, sums } = sumProducts(from, to, weights);
  // Each match gives the row q * p (Kronecker) with p = (x, y, 1) and q = (u, v, 1): the normal matrix is made of the
  // 36 sums of a product of q times a product of p.
  const normal = new Float64Array(81);
  for (let row = 0; row < 9; row++) {
    for (let column = 0; column < 9; column++) {
      const q = PRODUCT[3 * Math.floor(row / 3) + Math.floor(column / 3)];
      normal[9 * row + column] = sums[6 * q + PRODUCT[3 * (row % 3) + (column % 3)]];
    }
  }
  const f = Float64Array.from(symmetricEigen(normal, 9).vectors[0]);
  dropThirdRank(f);
  // back = bT * f * a, with a and b the normalising matrices
  for (let r = 0; r < 3; r++) {
    const p = a.scale * f[3 * r];
    const q = a.scale * f[3 * r + 1];
    f[3 * r] = p;
    f[3 * r + 1] = q;
    f[3 * r + 2] -= p * a.centreX + q * a.centreY;
  }
  for (let c = 0; c < 3; c++) {
    const p = b.scale * f[c];
    const q = b.scale * f[3 + c];
    f[c] = p;
    f[3 + c] = q;
    f[6 + c] -= p * b.centreX + q * b.centreY;
  }
  return toUnitNorm(f);
}

/** Nearest rank 2 matrix: takes away the part along the weakest right singular vector. */
function dropThirdRank(f: Float64Array): void {
  const square = new Float64Array(9);
  for (let p = 0; p < 3; p++) {
    for (let q = 0; q < 3; q++) square[3 * p + q] = f[p] * f[q] + f[3 + p] * f[3 + q] + f[6 + p] * f[6 + q];
  }
  const [n] = symmetricEigen(square, 3).vectors;
  for (let r = 0; r < 3; r++) {
    const along = f[3 * r] * n[0] + f[3 * r + 1] * n[1] + f[3 * r + 2] * n[2];
    for (let c = 0; c < 3; c++) f[3 * r + c] -= along * n[c];
  }
}
