/** Real roots of polynomials, double precision. Coefficients stand constant first. */

export const MOST_DEGREE: i32 = 10;
const NEWTON_STEPS: i32 = 60;

/** A row for each derivative, the polynomial itself first. */
const ROW: i32 = 8 * (MOST_DEGREE + 1);
const derivatives = memory.data(8 * (MOST_DEGREE + 1) * (MOST_DEGREE + 1));
/** Roots of one derivative, and of that above it. */
const turns = memory.data(8 * (MOST_DEGREE + 1));

/**
 * Real roots within [-bound, bound], ascending. The roots of each derivative separate those of the polynomial above it, so
 * that every root is bracketed and found by Newton's method kept inside the bracket. A double root that only touches zero
 * may be missed.
 *
 * @param coefficients degree + 1 f64; leading zeros are dropped; a constant has no roots
 * @param degree at most MOST_DEGREE
 * @param roots space for MOST_DEGREE f64
 * @returns how many
 */
export function realRoots(coefficients: usize, degree: i32, bound: f64, roots: usize): i32 {
  let largest: f64 = 0;
  for (let i = 0; i <= degree; i++) largest = max(largest, abs(load<f64>(coefficients + 8 * i)));
  while (degree > 0 && abs(load<f64>(coefficients + 8 * degree)) <= 1e-14 * largest) degree--;
  if (degree < 1) return 0;
  memory.copy(derivatives, coefficients, 8 * (degree + 1));
  for (let k = 1; k < degree; k++) {
    const slope = derivatives + k * ROW;
    for (let i = 0; i <= degree - k; i++) {
      store<f64>(slope + 8 * i, load<f64>(slope - ROW + 8 * (i + 1)) * (i + 1));
    }
  }
  const line = derivatives + (degree - 1) * ROW;
  const root = -load<f64>(line) / load<f64>(line, 8);
  store<f64>(roots, root);
  let count = abs(root) <= bound ? 1 : 0;
  for (let k = degree - 2; k >= 0; k--) {
    memory.copy(turns, roots, 8 * count);
    count = rootsBetween(derivatives + k * ROW, degree - k, count, bound, roots);
  }
  return count;
}

function evaluate(p: usize, degree: i32, x: f64): f64 {
  let sum: f64 = 0;
  for (let i = degree; i >= 0; i--) sum = sum * x + load<f64>(p + 8 * i);
  return sum;
}

/** Roots of the polynomial at p, whose derivative stands in the next row and has its roots in `turns`. */
function rootsBetween(p: usize, degree: i32, count: i32, bound: f64, roots: usize): i32 {
  let found = 0;
  let left = -bound;
  let valueLeft = evaluate(p, degree, left);
  for (let k = 0; k <= count; k++) {
    const right = k < count ? load<f64>(turns + 8 * k) : bound;
    const valueRight = evaluate(p, degree, right);
    if (valueRight === 0) store<f64>(roots + 8 * found++, right);
    else if (valueLeft * valueRight < 0) {
      store<f64>(roots + 8 * found++, bracketed(p, degree, left, right, valueLeft));
    }
    left = right;
    valueLeft = valueRight;
  }
  return found;
}

/**
 * Newton's method that halves the bracket instead where a step would leave it, or is no shorter than half the one before: far
 * out a polynomial of degree 10 is flat against its slope, and steps there are a tenth of the way.
 */
function bracketed(p: usize, degree: i32, from: f64, to: f64, valueFrom: f64): f64 {
  let low = from;
  let high = to;
  let x = (low + high) / 2;
  let before = high - low;
  for (let step = 0; step < NEWTON_STEPS; step++) {
    const value = evaluate(p, degree, x);
    if (value === 0) return x;
    if (value * valueFrom > 0) low = x;
    else high = x;
    let next = x - value / evaluate(p + ROW, degree - 1, x);
    if (!(next > low && next < high && abs(next - x) < before / 2)) next = (low + high) / 2;
    before = abs(next - x);
    if (before <= 1e-13 * (1 + abs(x))) return next;
    x = next;
  }
  return x;
}
