/** Spreading values over a grid of cells: conjugate gradients in single precision, their sums in double. */

/** The sum of the products of four values each, added to the two halves of a sum. */
function addProducts(sums: v128, a: v128, b: v128): v128 {
  const products = f32x4.mul(a, b);
  const high = v128.shuffle<f32>(products, products, 2, 3, 2, 3);
  return f64x2.add(f64x2.add(sums, f64x2.promote_low_f32x4(products)), f64x2.promote_low_f32x4(high));
}

function total(sums: v128): f64 {
  return f64x2.extract_lane(sums, 0) + f64x2.extract_lane(sums, 1);
}

/** out = A by, where A takes affinity times its neighbours' values from a cell's own; the product of the two. */
function multiply(
  diagonal: usize,
  right: usize,
  below: usize,
  by: usize,
  out: usize,
  stride: usize,
  bytes: usize,
): f64 {
  let sums = f64x2.splat(0);
  for (let i: usize = 0; i < bytes; i += 16) {
    const own = v128.load(by + i);
    let value = f32x4.mul(v128.load(diagonal + i), own);
    value = f32x4.sub(value, f32x4.mul(v128.load(right + i), v128.load(by + i, 4)));
    value = f32x4.sub(value, f32x4.mul(v128.load(right + i - 4), v128.load(by + i - 4)));
    value = f32x4.sub(value, f32x4.mul(v128.load(below + i), v128.load(by + i + stride)));
    value = f32x4.sub(value, f32x4.mul(v128.load(below + i - stride), v128.load(by + i - stride)));
    v128.store(out + i, value);
    sums = addProducts(sums, value, own);
  }
  return total(sums);
}

/**
 * Makes the equations of {@link spreadCells} from affinity, weight and observation: of cells as there, whose weight stands in
 * `diagonal` and in `rightHandSide`.
 */
export function weighCells(
  columns: i32,
  rows: i32,
  right: usize,
  below: usize,
  observation: usize,
  diagonal: usize,
  rightHandSide: usize,
): void {
  const stride = <usize>(4 * columns);
  for (let i: usize = 0; i < stride * rows; i += 4) {
    store<f32>(rightHandSide + i, load<f32>(rightHandSide + i) * load<f32>(observation + i));
    const ahead = <f64>load<f32>(right + i) + load<f32>(below + i);
    const weight = <f32>(load<f32>(diagonal + i) + ahead);
    store<f32>(diagonal + i, weight + load<f32>(right + i - 4) + load<f32>(below + i - stride));
  }
}

/**
 * Solves A x = rightHandSide for x, A being `diagonal` less the affinity of neighbours. All arrays are f32, row by row, with a row
 * and a vector of cells before and behind that nothing leads to: diagonal 1, all else 0.
 *
 * @param x where to start; the answer
 * @param residual, direction, product space for as many values, all 0
 * @param steps at most so many; fewer once the squared error over its weight, summed over all cells, is at most `enough`
 */
export function spreadCells(
  columns: i32,
  rows: i32,
  diagonal: usize,
  right: usize,
  below: usize,
  rightHandSide: usize,
  x: usize,
  residual: usize,
  direction: usize,
  product: usize,
  steps: i32,
  enough: f64,
): void {
  const stride = <usize>(4 * columns);
  const bytes = stride * rows;
  multiply(diagonal, right, below, x, product, stride, bytes);
  let sums = f64x2.splat(0);
  for (let i: usize = 0; i < bytes; i += 16) {
    const left = f32x4.sub(v128.load(rightHandSide + i), v128.load(product + i));
    const wanted = f32x4.div(left, v128.load(diagonal + i));
    v128.store(residual + i, left);
    v128.store(direction + i, wanted);
    sums = addProducts(sums, left, wanted);
  }
  let error = total(sums);
  for (let step = 0; step < steps && error > enough; step++) {
    const alpha = f32x4.splat(
      <f32>(error / multiply(diagonal, right, below, direction, product, stride, bytes)),
    );
    sums = f64x2.splat(0);
    for (let i: usize = 0; i < bytes; i += 16) {
      v128.store(x + i, f32x4.add(v128.load(x + i), f32x4.mul(alpha, v128.load(direction + i))));
      const left = f32x4.sub(v128.load(residual + i), f32x4.mul(alpha, v128.load(product + i)));
      v128.store(residual + i, left);
      sums = addProducts(sums, left, f32x4.div(left, v128.load(diagonal + i)));
    }
    const next = total(sums);
    const beta = f32x4.splat(<f32>(next / error));
    error = next;
    for (let i: usize = 0; i < bytes; i += 16) {
      const wanted = f32x4.div(v128.load(residual + i), v128.load(diagonal + i));
      v128.store(direction + i, f32x4.add(wanted, f32x4.mul(beta, v128.load(direction + i))));
    }
  }
}
