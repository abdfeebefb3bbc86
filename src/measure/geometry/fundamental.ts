import { type Homography, toUnitNorm } from "./homography.js";
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

function fillRow(out: Float64Array, at: number, x: number, y: number, u: number, v: number): void {
  out[at] = u * x;
  out[at + 1] = u * y;
  out[at + 2] = u;
  out[at + 3] = v * x;
  out[at + 4] = v * y;
  out[at + 5] = v;
  out[at + 6] = x;
  out[at + 7] = y;
  out[at + 8] = 1;
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

const system = new Float64Array(63);
const order = new Int32Array(9);

/**
 * The one or three fundamental matrices through exactly seven matches. Points should be of order 1 (centred,
 * scaled), since the elimination does not normalise.
 *
 * @param indexes which seven matches
 * @returns matrices of determinant 0 and unit norm; empty for a degenerate sample
 * @see Hartley and Zisserman 2004, section 11.1.2
 */
export function sevenPointFundamental(
  from: ArrayLike<number>,
  to: ArrayLike<number>,
  indexes: ArrayLike<number>,
): Fundamental[] {
  for (let k = 0; k < 7; k++) {
    const i = indexes[k];
    fillRow(system, 9 * k, from[2 * i], from[2 * i + 1], to[2 * i], to[2 * i + 1]);
  }
  const f0 = new Float64Array(9);
  const f1 = new Float64Array(9);
  if (!nullPlane(f0, f1)) return [];
  // det(f1 + t (f0 - f1)) is a cubic in t, fixed by its values at four points.
  const d = new Float64Array(9);
  for (let k = 0; k < 9; k++) d[k] = f0[k] - f1[k];
  const at = (t: number) => determinantAlong(f1, d, t);
  const c0 = at(0);
  const p1 = at(1);
  const m1 = at(-1);
  const c3 = (at(2) - 2 * p1 + 2 * m1 - at(-2)) / 12;
  const c2 = (p1 + m1) / 2 - c0;
  const c1 = (p1 - m1) / 2 - c3;
  const out: Fundamental[] = [];
  for (const t of cubicRoots(c3, c2, c1, c0)) {
    const f = new Float64Array(9);
    for (let k = 0; k < 9; k++) f[k] = f1[k] + t * d[k];
    const unit = toUnitNorm(f);
    if (unit !== undefined) out.push(unit);
  }
  return out;
}

/** Gauss-Jordan with full pivoting on the 7 x 9 system; two vectors that span its null space. */
function nullPlane(f0: Float64Array, f1: Float64Array): boolean {
  for (let c = 0; c < 9; c++) order[c] = c;
  for (let r = 0; r < 7; r++) {
    let pivot = 0;
    let pivotRow = r;
    let pivotColumn = r;
    for (let i = r; i < 7; i++) {
      for (let c = r; c < 9; c++) {
        const value = Math.abs(system[9 * i + c]);
        if (value > pivot) {
          pivot = value;
          pivotRow = i;
          pivotColumn = c;
        }
      }
    }
    if (pivot < 1e-9) return false;
    if (pivotRow !== r) for (let c = 0; c < 9; c++) swap(system, 9 * r + c, 9 * pivotRow + c);
    if (pivotColumn !== r) {
      for (let i = 0; i < 7; i++) swap(system, 9 * i + r, 9 * i + pivotColumn);
      swap(order, r, pivotColumn);
    }
    const inverse = 1 / system[9 * r + r];
    for (let c = r; c < 9; c++) system[9 * r + c] *= inverse;
    for (let i = 0; i < 7; i++) {
      if (i === r) continue;
      const factor = system[9 * i + r];
      if (factor === 0) continue;
      for (let c = r; c < 9; c++) system[9 * i + c] -= factor * system[9 * r + c];
    }
  }
  for (let r = 0; r < 7; r++) {
    f0[order[r]] = -system[9 * r + 7];
    f1[order[r]] = -system[9 * r + 8];
  }
  f0[order[7]] = 1;
  f1[order[8]] = 1;
  return true;
}

function swap(array: Float64Array | Int32Array, i: number, j: number): void {
  const value = array[i];
  array[i] = array[j];
  array[j] = value;
}

function determinantAlong(f: Float64Array, d: Float64Array, t: number): number {
  const a = f[0] + t * d[0];
  const b = f[1] + t * d[1];
  const c = f[2] + t * d[2];
  const e = f[3] + t * d[3];
  const g = f[4] + t * d[4];
  const h = f[5] + t * d[5];
  const i = f[6] + t * d[6];
  const j = f[7] + t * d[7];
  const k = f[8] + t * d[8];
  return a * (g * k - h * j) - b * (e * k - h * i) + c * (e * j - g * i);
}

/** Real roots of a t^3 + b t^2 + c t + d (Viete's trigonometric form for three, Cardano's for one). */
function cubicRoots(a: number, b: number, c: number, d: number): number[] {
  const largest = Math.max(Math.abs(a), Math.abs(b), Math.abs(c), Math.abs(d));
  if (Math.abs(a) < 1e-12 * largest) return quadraticRoots(b, c, d);
  const p = b / a;
  const q = c / a;
  const r = d / a;
  const third = p / 3;
  const m = (p * p - 3 * q) / 9;
  const n = (2 * p * p * p - 9 * p * q + 27 * r) / 54;
  const cube = m * m * m;
  if (n * n < cube) {
    const angle = Math.acos(Math.max(-1, Math.min(1, n / Math.sqrt(cube))));
    const size = -2 * Math.sqrt(m);
    return [0, 2 * Math.PI, -2 * Math.PI].map((turn) => size * Math.cos((angle + turn) / 3) - third);
  }
  const s = -Math.sign(n || 1) * Math.cbrt(Math.abs(n) + Math.sqrt(Math.max(0, n * n - cube)));
  return [s + (s === 0 ? 0 : m / s) - third];
}

function quadraticRoots(a: number, b: number, c: number): number[] {
  if (Math.abs(a) < 1e-12 * Math.max(Math.abs(b), Math.abs(c))) return b === 0 ? [] : [-c / b];
  const inside = b * b - 4 * a * c;
  if (inside < 0) return [];
  const root = Math.sqrt(inside);
  return [(-b + root) / (2 * a), (-b - root) / (2 * a)];
}

/**
 * Fundamental matrix of a scene whose plane moves by `h`, from two matches off the plane: the lines from where
 * the plane would send each point to where it is meet in the epipole.
 *
 * @returns unit norm; undefined when both points lie on the plane or on one line with the epipole
 * @see Hartley and Zisserman 2004, section 13.3 (plane and parallax)
 */
export function fundamentalFromPlane(
  h: Homography,
  x1: number,
  y1: number,
  u1: number,
  v1: number,
  x2: number,
  y2: number,
  u2: number,
  v2: number,
): Fundamental | undefined {
  const l = parallaxLine(h, x1, y1, u1, v1);
  const m = parallaxLine(h, x2, y2, u2, v2);
  const ex = l[1] * m[2] - l[2] * m[1];
  const ey = l[2] * m[0] - l[0] * m[2];
  const ez = l[0] * m[1] - l[1] * m[0];
  const f = new Float64Array(9);
  for (let c = 0; c < 3; c++) {
    f[c] = ey * h[6 + c] - ez * h[3 + c];
    f[3 + c] = ez * h[c] - ex * h[6 + c];
    f[6 + c] = ex * h[3 + c] - ey * h[c];
  }
  return toUnitNorm(f);
}

/** Line through (u, v) and the image of (x, y) under h. */
function parallaxLine(h: Homography, x: number, y: number, u: number, v: number): [number, number, number] {
  const p = h[0] * x + h[1] * y + h[2];
  const q = h[3] * x + h[4] * y + h[5];
  const w = h[6] * x + h[7] * y + h[8];
  return [v * w - q, p - u * w, u * q - v * p];
}
