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
