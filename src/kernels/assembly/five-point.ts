import { realRoots } from "./polynomial";

/**
 * The five-point solver: see fivePoint in measure/geometry/essential.ts. Vectors of nine are 3 x 3 matrices, row by row.
 * Polynomials in x, y, z have their coefficients in this order:
 * linear: x, y, z, 1;
 * quadratic: x2, y2, xy, xz, x, yz, y, z2, z, 1;
 * cubic, Nister's: x3, y3, x2y, xy2, x2z, x2, y2z, y2, xyz, xy, xz2, xz, x, yz2, yz, y, z3, z2, z, 1.
 */

/** Place of the product of two linear terms: four a term. */
const ofLinear = memory.data<u8>([0, 2, 3, 4, 2, 1, 5, 6, 3, 5, 7, 8, 4, 6, 8, 9]);
/** Place of the product of a quadratic and a linear term: four a quadratic term. */
const ofQuadratic = memory.data<u8>([
  0, 2, 4, 5, 3, 1, 6, 7, 2, 3, 8, 9, 4, 8, 10, 11, 5, 9, 11, 12, 8, 6, 13, 14, 9, 7, 14, 15, 10, 13, 16, 17,
  11, 14, 17, 18, 12, 15, 18, 19,
]);
const LINEAR: i32 = 4;
const QUADRATIC: i32 = 10;
const CUBIC: i32 = 20;
const VECTOR: i32 = 8 * 9;
const EQUATION: i32 = 8 * CUBIC;

/** Nine vectors: the five equations made orthonormal, then four across them. */
const space = memory.data(9 * 72);
const basis = space + 5 * VECTOR;
/** Of each entry of E: the coefficients of the first three vectors of the basis; the fourth stands alone. */
const entries = memory.data(9 * 32);
const minor = memory.data(80);
/** E ET less half its trace. */
const gram = memory.data(9 * 80);
const half = memory.data(80);
/** Ten equations, cubic. */
const equations = memory.data(10 * 160);
/** Three equations linear in x and y: polynomials in z of degree 3 times x, of 3 times y, of 4 alone. */
const rows = memory.data(3 * 13 * 8);
const ROW: i32 = 13 * 8;
const determinant = memory.data(11 * 8);
const roots = memory.data(11 * 8);
/** Three numbers a row. */
const values = memory.data(9 * 8);

/** Roots beyond this are solutions that hardly contain the last vector of the basis: one in a thousand. */
const ROOT_BOUND: f64 = 2000;
/** Of the angle in the triangle of 3, 4 and 5: any that mixes all vectors of the basis would do. */
const TURN_COSINE: f64 = 0.8;
const TURN_SINE: f64 = 0.6;

/**
 * Essential matrices of unit norm that fit five matches exactly.
 *
 * @param matches five times (xa, ya, xb, yb), f64
 * @param out space for ten matrices
 * @returns how many; 0 where the five matches do not determine a motion
 */
export function fivePoint(matches: usize, out: usize): i32 {
  if (!findBasis(matches)) return 0;
  constrain();
  if (!eliminate()) return 0;
  return solve(out);
}

function at(array: usize, i: i32): f64 {
  return load<f64>(array + 8 * i);
}

function add(array: usize, i: i32, value: f64): void {
  store<f64>(array + 8 * i, load<f64>(array + 8 * i) + value);
}

/** Orthonormal basis of the matrices that satisfy five epipolar equations: Gram-Schmidt of those, then of unit vectors. */
function findBasis(matches: usize): bool {
  for (let k = 0; k < 5; k++) {
    const match = matches + 32 * k;
    const equation = space + k * VECTOR;
    for (let b = 0; b < 3; b++) {
      for (let a = 0; a < 3; a++) {
        const ofB = b < 2 ? at(match, 2 + b) : 1;
        store<f64>(equation + 8 * (3 * b + a), ofB * (a < 2 ? at(match, a) : 1));
      }
    }
    if (!orthogonalise(k)) return false;
  }
  let used = 0;
  for (let rank = 5; rank < 9; rank++) {
    // The unit vector that the space so far covers least keeps the basis well conditioned.
    let best = -1;
    let least = Infinity;
    for (let i = 0; i < 9; i++) {
      if (used & (1 << i)) continue;
      let covered: f64 = 0;
      for (let k = 0; k < rank; k++) covered += at(space, 9 * k + i) * at(space, 9 * k + i);
      if (covered < least) {
        least = covered;
        best = i;
      }
    }
    // No numbers, no basis.
    if (best < 0) return false;
    used |= 1 << best;
    memory.fill(space + rank * VECTOR, 0, VECTOR);
    store<f64>(space + rank * VECTOR + 8 * best, 1);
    if (!orthogonalise(rank)) return false;
  }
  for (let k = 0; k < 4; k++) {
    for (let other = k + 1; other < 4; other++) turnAgainst(basis + k * VECTOR, basis + other * VECTOR);
  }
  return true;
}

/**
 * Turns two vectors of the basis in their plane. The matrices of plain motions have zeros, and so contain nothing of vectors
 * of the basis that began as a unit vector; but every solution must contain something of the last (see ROOT_BOUND). Of
 * steps straight ahead 39 % were lost without this.
 */
function turnAgainst(p: usize, q: usize): void {
  for (let i = 0; i < 9; i++) {
    const a = at(p, i);
    const b = at(q, i);
    store<f64>(p + 8 * i, TURN_COSINE * a - TURN_SINE * b);
    store<f64>(q + 8 * i, TURN_SINE * a + TURN_COSINE * b);
  }
}

/** Makes vector k orthogonal to those before it (twice, for accuracy) and of unit length. */
function orthogonalise(k: i32): bool {
  const own = space + k * VECTOR;
  const before = dot(own, own);
  for (let pass = 0; pass < 2; pass++) {
    for (let j = 0; j < k; j++) {
      const other = space + j * VECTOR;
      const along = dot(own, other);
      for (let i = 0; i < 9; i++) add(own, i, -along * at(other, i));
    }
  }
  const left = dot(own, own);
  // Within 1e-9 of the space so far it adds nothing but rounding.
  if (!(left > 1e-18 * before)) return false;
  scale(own, 1 / sqrt(left));
  return true;
}

function dot(p: usize, q: usize): f64 {
  let sum: f64 = 0;
  for (let i = 0; i < 9; i++) sum += at(p, i) * at(q, i);
  return sum;
}

function scale(vector: usize, factor: f64): void {
  for (let i = 0; i < 9; i++) store<f64>(vector + 8 * i, factor * at(vector, i));
}

/** out += factor * a * b, a and b linear, out quadratic. */
function addLinear(out: usize, a: usize, b: usize, factor: f64): void {
  for (let i = 0; i < LINEAR; i++) {
    const f = factor * at(a, i);
    for (let j = 0; j < LINEAR; j++) add(out, load<u8>(ofLinear + LINEAR * i + j), f * at(b, j));
  }
}

/** out += q * l, q quadratic, l linear, out cubic. */
function addQuadratic(out: usize, q: usize, l: usize): void {
  for (let i = 0; i < QUADRATIC; i++) {
    const f = at(q, i);
    for (let j = 0; j < LINEAR; j++) add(out, load<u8>(ofQuadratic + LINEAR * i + j), f * at(l, j));
  }
}

function entry(row: i32, column: i32): usize {
  return entries + 8 * LINEAR * (3 * row + column);
}

function product(row: i32, column: i32): usize {
  return gram + 8 * QUADRATIC * (3 * row + column);
}

/** Ten cubic equations: det E = 0 and 2 E ET E - trace(E ET) E = 0. */
function constrain(): void {
  for (let i = 0; i < 9; i++) {
    for (let k = 0; k < LINEAR; k++) store<f64>(entries + 8 * (LINEAR * i + k), at(basis, 9 * k + i));
  }
  memory.fill(equations, 0, 10 * EQUATION);
  // det E, by the first row.
  for (let c = 0; c < 3; c++) {
    const next = (c + 1) % 3;
    const last = (c + 2) % 3;
    memory.fill(minor, 0, 8 * QUADRATIC);
    addLinear(minor, entry(1, next), entry(2, last), 1);
    addLinear(minor, entry(1, last), entry(2, next), -1);
    addQuadratic(equations, minor, entry(0, c));
  }
  for (let r = 0; r < 3; r++) {
    for (let c = 0; c < 3; c++) {
      memory.fill(product(r, c), 0, 8 * QUADRATIC);
      for (let k = 0; k < 3; k++) addLinear(product(r, c), entry(r, k), entry(c, k), 1);
    }
  }
  for (let i = 0; i < QUADRATIC; i++) {
    store<f64>(half + 8 * i, (at(product(0, 0), i) + at(product(1, 1), i) + at(product(2, 2), i)) / 2);
  }
  for (let d = 0; d < 3; d++) {
    for (let i = 0; i < QUADRATIC; i++) add(product(d, d), i, -at(half, i));
  }
  for (let r = 0; r < 3; r++) {
    for (let c = 0; c < 3; c++) {
      for (let k = 0; k < 3; k++) {
        addQuadratic(equations + (1 + 3 * r + c) * EQUATION, product(r, k), entry(k, c));
      }
    }
  }
}

/** Gauss-Jordan elimination with partial pivoting: the first ten columns become the identity. */
function eliminate(): bool {
  for (let column = 0; column < 10; column++) {
    let pivot = column;
    for (let r = column + 1; r < 10; r++) {
      if (abs(at(equations, CUBIC * r + column)) > abs(at(equations, CUBIC * pivot + column))) pivot = r;
    }
    const value = at(equations, CUBIC * pivot + column);
    if (!(abs(value) >= 1e-14)) return false;
    const own = equations + column * EQUATION;
    for (let c = column; c < CUBIC; c++) {
      const brought = at(equations, CUBIC * pivot + c) / value;
      store<f64>(equations + 8 * (CUBIC * pivot + c), at(own, c));
      store<f64>(own + 8 * c, brought);
    }
    for (let r = 0; r < 10; r++) {
      // Equations 0 to 3 are never read again, so they need no clearing above the diagonal.
      if (r === column || (r < column && r < 4)) continue;
      const other = equations + r * EQUATION;
      const factor = at(other, column);
      for (let c = column; c < CUBIC; c++) add(other, c, -factor * at(own, c));
    }
  }
  return true;
}

/** Equations 4 to 9 pairwise free of x2, y2 and xy: three linear in x and y, whose determinant has its roots in z. */
function solve(out: usize): i32 {
  for (let k = 0; k < 3; k++) subtract(equations + (4 + 2 * k) * EQUATION, rows + k * ROW);
  memory.fill(determinant, 0, 11 * 8);
  for (let k = 0; k < 3; k++) {
    // Row k's polynomial alone with the other two rows' x and y.
    const other = rows + ((k + 1) % 3) * ROW;
    const last = rows + ((k + 2) % 3) * ROW;
    addTriple(other, last + 8 * 4, rows + k * ROW + 8 * 8, 1);
    addTriple(last, other + 8 * 4, rows + k * ROW + 8 * 8, -1);
  }
  const count = realRoots(determinant, 10, ROOT_BOUND, roots);
  let found = 0;
  for (let n = 0; n < count; n++) {
    if (matrixAt(at(roots, n), out + found * VECTOR)) found++;
  }
  return found;
}

/** The upper equation, of x z2, x z, x, ..., less z times the one behind it. */
function subtract(upper: usize, out: usize): void {
  const lower = upper + EQUATION;
  memory.fill(out, 0, ROW);
  for (let k = 0; k < 3; k++) {
    add(out, 2 - k, at(upper, 10 + k));
    add(out, 3 - k, -at(lower, 10 + k));
    add(out, 4 + 2 - k, at(upper, 13 + k));
    add(out, 4 + 3 - k, -at(lower, 13 + k));
  }
  for (let k = 0; k < 4; k++) {
    add(out, 8 + 3 - k, at(upper, 16 + k));
    add(out, 8 + 4 - k, -at(lower, 16 + k));
  }
}

/** determinant += sign * a * b * c, polynomials of degree 3, 3 and 4. */
function addTriple(a: usize, b: usize, c: usize, sign: f64): void {
  for (let i = 0; i < 4; i++) {
    for (let j = 0; j < 4; j++) {
      const ab = sign * at(a, i) * at(b, j);
      for (let k = 0; k < 5; k++) add(determinant, i + j + k, ab * at(c, k));
    }
  }
}

/** The essential matrix for one root: (x, y, 1) is orthogonal to all three rows. */
function matrixAt(z: f64, out: usize): bool {
  for (let k = 0; k < 3; k++) {
    const row = rows + k * ROW;
    store<f64>(values + 24 * k, ((at(row, 3) * z + at(row, 2)) * z + at(row, 1)) * z + at(row, 0));
    store<f64>(values + 24 * k, ((at(row, 7) * z + at(row, 6)) * z + at(row, 5)) * z + at(row, 4), 8);
    const alone = (((at(row, 12) * z + at(row, 11)) * z + at(row, 10)) * z + at(row, 9)) * z + at(row, 8);
    store<f64>(values + 24 * k, alone, 16);
  }
  // The product of two rows with the largest last entry is the best conditioned.
  let x: f64 = 0;
  let y: f64 = 0;
  let w: f64 = 0;
  for (let k = 0; k < 3; k++) {
    const p = values + 24 * k;
    const q = values + 24 * ((k + 1) % 3);
    const last = at(p, 0) * at(q, 1) - at(p, 1) * at(q, 0);
    if (abs(last) <= abs(w)) continue;
    x = at(p, 1) * at(q, 2) - at(p, 2) * at(q, 1);
    y = at(p, 2) * at(q, 0) - at(p, 0) * at(q, 2);
    w = last;
  }
  if (w === 0) return false;
  for (let i = 0; i < 9; i++) {
    const xy = (x / w) * at(basis, i) + (y / w) * at(basis, 9 + i);
    store<f64>(out + 8 * i, xy + z * at(basis, 18 + i) + at(basis, 27 + i));
  }
  const norm = dot(out, out);
  if (!(norm > 0 && norm < Infinity)) return false;
  scale(out, 1 / sqrt(norm));
  return true;
}
