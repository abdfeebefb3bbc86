import { cross } from "#goodgate/measure/geometry/vector.js";

/** Twins of assembly/five-point.ts and assembly/polynomial.ts. */

/** See assembly/five-point.ts. */
const ROOT_BOUND = 200;

/** Essential matrices of unit norm through five matches of `points`, four numbers each. */
export function fivePoint(points: Float64Array, sample: ArrayLike<number>): Float64Array[] {
  const basis = nullSpace(points, sample);
  if (!basis) return [];
  const rows = eliminated(constraints(basis));
  if (!rows) return [];
  return solutions(rows, basis);
}

/** Orthonormal basis, four vectors of nine numbers, of the matrices that satisfy five epipolar equations. */
function nullSpace(points: Float64Array, sample: ArrayLike<number>): Float64Array | undefined {
  // Householder-free: Gram-Schmidt of the five equations, then of unit vectors against all that came before.
  const space = new Float64Array(9 * 9);
  for (let k = 0; k < 5; k++) {
    const p = 4 * sample[k];
    const xa = points[p];
    const ya = points[p + 1];
    const xb = points[p + 2];
    const yb = points[p + 3];
    space.set([xb * xa, xb * ya, xb, yb * xa, yb * ya, yb, xa, ya, 1], 9 * k);
    if (!orthogonalise(space, k, 1e-9)) return undefined;
  }
  let rank = 5;
  const used = new Uint8Array(9);
  while (rank < 9) {
    // The unit vector that the space so far covers least keeps the basis well conditioned.
    let best = -1;
    let least = Number.POSITIVE_INFINITY;
    for (let i = 0; i < 9; i++) {
      if (used[i]) continue;
      let covered = 0;
      for (let k = 0; k < rank; k++) covered += space[9 * k + i] * space[9 * k + i];
      if (covered < least) {
        least = covered;
        best = i;
      }
    }
    used[best] = 1;
    space.fill(0, 9 * rank, 9 * rank + 9);
    space[9 * rank + best] = 1;
    if (!orthogonalise(space, rank, 1e-9)) return undefined;
    rank++;
  }
  return space.subarray(45);
}

/** Makes vector k orthogonal to those before it (twice, for accuracy) and of unit length. */
function orthogonalise(space: Float64Array, k: number, tiny: number): boolean {
  const at = 9 * k;
  let before = 0;
  for (let i = 0; i < 9; i++) before += space[at + i] * space[at + i];
  let norm = before;
  for (let pass = 0; pass < 2; pass++) {
    for (let j = 0; j < k; j++) {
      let along = 0;
      for (let i = 0; i < 9; i++) along += space[at + i] * space[9 * j + i];
      for (let i = 0; i < 9; i++) space[at + i] -= along * space[9 * j + i];
    }
  }
  norm = 0;
  for (let i = 0; i < 9; i++) norm += space[at + i] * space[at + i];
  if (norm <= tiny * tiny * before) return false;
  const inverse = 1 / Math.sqrt(norm);
  for (let i = 0; i < 9; i++) space[at + i] *= inverse;
  return true;
}

// Monomials of x, y, z up to degree 3 in Nister's order, and up to degree 2 in any order, as exponents.
const CUBIC: readonly (readonly [number, number, number])[] = [
  [3, 0, 0],
  [0, 3, 0],
  [2, 1, 0],
  [1, 2, 0],
  [2, 0, 1],
  [2, 0, 0],
  [0, 2, 1],
  [0, 2, 0],
  [1, 1, 1],
  [1, 1, 0],
  [1, 0, 2],
  [1, 0, 1],
  [1, 0, 0],
  [0, 1, 2],
  [0, 1, 1],
  [0, 1, 0],
  [0, 0, 3],
  [0, 0, 2],
  [0, 0, 1],
  [0, 0, 0],
];
const LINEAR = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
  [0, 0, 0],
] as const;
const QUADRATIC = CUBIC.filter(([i, j, k]) => i + j + k <= 2);

function productTable(
  left: readonly (readonly number[])[],
  right: readonly (readonly number[])[],
  out: readonly (readonly number[])[],
): Uint8Array {
  return Uint8Array.from(
    left.flatMap((a) =>
      right.map((b) => out.findIndex((m) => m.every((exponent, i) => exponent === a[i] + b[i]))),
    ),
  );
}
const LINEAR_LINEAR = productTable(LINEAR, LINEAR, QUADRATIC);
const QUADRATIC_LINEAR = productTable(QUADRATIC, LINEAR, CUBIC);

/** out += factor * a * b, a and b linear, out quadratic. */
function addProduct2(
  out: Float64Array,
  a: Float64Array,
  atA: number,
  b: Float64Array,
  atB: number,
  factor: number,
) {
  for (let i = 0; i < 4; i++) {
    const f = factor * a[atA + i];
    for (let j = 0; j < 4; j++) out[LINEAR_LINEAR[4 * i + j]] += f * b[atB + j];
  }
}

/** out[at..] += factor * q * l, q quadratic, l linear, out cubic. */
function addProduct3(
  out: Float64Array,
  at: number,
  q: Float64Array,
  l: Float64Array,
  atL: number,
  factor: number,
) {
  for (let i = 0; i < 10; i++) {
    const f = factor * q[i];
    if (f === 0) continue;
    for (let j = 0; j < 4; j++) out[at + QUADRATIC_LINEAR[4 * i + j]] += f * l[atL + j];
  }
}

/** Ten cubic equations, 20 coefficients each: det E = 0 and 2 E ET E - trace(E ET) E = 0. */
function constraints(basis: Float64Array): Float64Array {
  // entry[4 i + k]: coefficient of the k-th null vector in E[i]; the fourth stands alone.
  const entry = new Float64Array(36);
  for (let i = 0; i < 9; i++) for (let k = 0; k < 4; k++) entry[4 * i + k] = basis[9 * k + i];
  const out = new Float64Array(200);
  // det E, by the first row.
  const minor = new Float64Array(10);
  for (let c = 0; c < 3; c++) {
    const c1 = (c + 1) % 3;
    const c2 = (c + 2) % 3;
    minor.fill(0);
    addProduct2(minor, entry, 4 * (3 + c1), entry, 4 * (6 + c2), 1);
    addProduct2(minor, entry, 4 * (3 + c2), entry, 4 * (6 + c1), -1);
    addProduct3(out, 0, minor, entry, 4 * c, 1);
  }
  // G = E ET - trace / 2, then G E = 0.
  const gram: Float64Array[] = [];
  for (let r = 0; r < 3; r++) {
    for (let c = 0; c < 3; c++) {
      const g = new Float64Array(10);
      for (let k = 0; k < 3; k++) addProduct2(g, entry, 4 * (3 * r + k), entry, 4 * (3 * c + k), 1);
      gram.push(g);
    }
  }
  const half = new Float64Array(10);
  for (let i = 0; i < 10; i++) half[i] = (gram[0][i] + gram[4][i] + gram[8][i]) / 2;
  for (let d = 0; d < 9; d += 4) for (let i = 0; i < 10; i++) gram[d][i] -= half[i];
  for (let r = 0; r < 3; r++) {
    for (let c = 0; c < 3; c++) {
      const at = 20 * (1 + 3 * r + c);
      for (let k = 0; k < 3; k++) addProduct3(out, at, gram[3 * r + k], entry, 4 * (3 * k + c), 1);
    }
  }
  return out;
}

/** Gauss-Jordan elimination with partial pivoting: the first ten columns become the identity. */
function eliminated(m: Float64Array): Float64Array | undefined {
  for (let column = 0; column < 10; column++) {
    let pivot = column;
    for (let r = column + 1; r < 10; r++) {
      if (Math.abs(m[20 * r + column]) > Math.abs(m[20 * pivot + column])) pivot = r;
    }
    const value = m[20 * pivot + column];
    if (Math.abs(value) < 1e-14) return undefined;
    if (pivot !== column) {
      for (let c = column; c < 20; c++) {
        const swap = m[20 * pivot + c];
        m[20 * pivot + c] = m[20 * column + c];
        m[20 * column + c] = swap;
      }
    }
    for (let c = column; c < 20; c++) m[20 * column + c] /= value;
    for (let r = 0; r < 10; r++) {
      // Rows 0 to 3 are never read again, so they need no clearing above the diagonal.
      if (r === column || (r < column && r < 4)) continue;
      const f = m[20 * r + column];
      if (f === 0) continue;
      for (let c = column; c < 20; c++) m[20 * r + c] -= f * m[20 * column + c];
    }
  }
  return m;
}

/** Rows 4 to 9 pairwise free of x2, y2, xy: three equations linear in x and y, polynomial in z. */
function solutions(m: Float64Array, basis: Float64Array): Float64Array[] {
  // b[row]: polynomial in z (constant first) times x (4), times y (4), alone (5).
  const b: [Float64Array, Float64Array, Float64Array][] = [];
  for (const row of [4, 6, 8]) {
    const u = 20 * row;
    const w = 20 * (row + 1);
    const x = new Float64Array(4);
    const y = new Float64Array(4);
    const one = new Float64Array(5);
    // upper row: monomials x z2, x z, x; lower row the same, times z and subtracted.
    for (let k = 0; k < 3; k++) {
      x[2 - k] += m[u + 10 + k];
      x[3 - k] -= m[w + 10 + k];
      y[2 - k] += m[u + 13 + k];
      y[3 - k] -= m[w + 13 + k];
    }
    for (let k = 0; k < 4; k++) {
      one[3 - k] += m[u + 16 + k];
      one[4 - k] -= m[w + 16 + k];
    }
    b.push([x, y, one]);
  }
  const determinantPolynomial = new Float64Array(11);
  b.forEach(([, , one], k) => {
    const [x, y] = b[(k + 1) % 3];
    const [u, v] = b[(k + 2) % 3];
    addTriple(determinantPolynomial, x, v, one, 1);
    addTriple(determinantPolynomial, u, y, one, -1);
  });
  const found: Float64Array[] = [];
  for (const z of realRoots(determinantPolynomial, ROOT_BOUND)) {
    const rows = b.map((polynomials) => polynomials.map((p) => at(p, z)));
    // (x, y, 1) is orthogonal to all three rows: the longest product of two rows is the best conditioned.
    let best = [0, 0, 0];
    for (const [i, j] of [
      [0, 1],
      [1, 2],
      [0, 2],
    ] as const) {
      const p = cross(rows[i], rows[j]);
      if (Math.abs(p[2]) > Math.abs(best[2])) best = p;
    }
    if (best[2] === 0) continue;
    const x = best[0] / best[2];
    const y = best[1] / best[2];
    const e = new Float64Array(9);
    let norm = 0;
    for (let i = 0; i < 9; i++) {
      e[i] = x * basis[i] + y * basis[9 + i] + z * basis[18 + i] + basis[27 + i];
      norm += e[i] * e[i];
    }
    norm = 1 / Math.sqrt(norm);
    if (!Number.isFinite(norm)) continue;
    for (let i = 0; i < 9; i++) e[i] *= norm;
    found.push(e);
  }
  return found;
}

function addTriple(out: Float64Array, a: Float64Array, b: Float64Array, c: Float64Array, sign: number): void {
  for (let i = 0; i < a.length; i++) {
    for (let j = 0; j < b.length; j++) {
      const ab = sign * a[i] * b[j];
      for (let k = 0; k < c.length; k++) out[i + j + k] += ab * c[k];
    }
  }
}

function at(p: Float64Array, z: number): number {
  let sum = 0;
  for (let i = p.length - 1; i >= 0; i--) sum = sum * z + p[i];
  return sum;
}

const NEWTON_STEPS = 60;

/**
 * Real roots of a polynomial within [-bound, bound], ascending. The roots of each derivative separate those of
 * the polynomial above it, so that every root is bracketed and found by Newton's method kept inside the bracket.
 * A double root that only touches zero may be missed.
 *
 * @param coefficients constant first; degree = length - 1. Leading zeros are dropped; a constant has no roots.
 */
export function realRoots(coefficients: ArrayLike<number>, bound: number): number[] {
  let degree = coefficients.length - 1;
  let largest = 0;
  for (let i = 0; i <= degree; i++) largest = Math.max(largest, Math.abs(coefficients[i]));
  while (degree > 0 && Math.abs(coefficients[degree]) <= 1e-14 * largest) degree--;
  if (degree < 1) return [];
  // derivatives[k] is the k-th derivative.
  const derivatives: Float64Array[] = [Float64Array.from({ length: degree + 1 }, (_, i) => coefficients[i])];
  for (let k = 1; k < degree; k++) {
    const above = derivatives[k - 1];
    derivatives.push(Float64Array.from({ length: above.length - 1 }, (_, i) => above[i + 1] * (i + 1)));
  }
  const line = derivatives[degree - 1];
  let roots = [-line[0] / line[1]].filter((x) => Math.abs(x) <= bound);
  for (let k = degree - 2; k >= 0; k--)
    roots = rootsBetween(derivatives[k], derivatives[k + 1], roots, bound);
  return roots;
}

function evaluate(p: Float64Array, x: number): number {
  let sum = 0;
  for (let i = p.length - 1; i >= 0; i--) sum = sum * x + p[i];
  return sum;
}

function rootsBetween(
  p: Float64Array,
  slope: Float64Array,
  turns: readonly number[],
  bound: number,
): number[] {
  const found: number[] = [];
  let left = -bound;
  let valueLeft = evaluate(p, left);
  for (let k = 0; k <= turns.length; k++) {
    const right = k < turns.length ? turns[k] : bound;
    const valueRight = evaluate(p, right);
    if (valueRight === 0) found.push(right);
    else if (valueLeft * valueRight < 0) found.push(bracketed(p, slope, left, right, valueLeft));
    left = right;
    valueLeft = valueRight;
  }
  return found;
}

/** Newton's method that falls back to halving whenever a step leaves the bracket or shrinks too slowly. */
function bracketed(
  p: Float64Array,
  slope: Float64Array,
  from: number,
  to: number,
  valueFrom: number,
): number {
  let low = from;
  let high = to;
  let x = (low + high) / 2;
  for (let step = 0; step < NEWTON_STEPS; step++) {
    const value = evaluate(p, x);
    if (value === 0) return x;
    if (value * valueFrom > 0) low = x;
    else high = x;
    let next = x - value / evaluate(slope, x);
    if (!(next > low && next < high)) next = (low + high) / 2;
    if (Math.abs(next - x) <= 1e-13 * (1 + Math.abs(x))) return next;
    x = next;
  }
  return x;
}
