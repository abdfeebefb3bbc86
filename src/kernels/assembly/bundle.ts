/** Normal equations of cameras and points, double precision: see measure/poses/bundle-equations.ts. */

/** Unknowns of one camera: three vectors of two. */
const CAMERA: i32 = 6;

/**
 * h -= w inverse wT and b -= w inverse bp for every point: takes the points out of the equations of cameras and lens.
 *
 * @param start points + 1 of i32: where each point's unknowns begin among `rows`, cameras first, six each, then the lens's
 * @param rows i32: the row of each of those unknowns
 * @param w f64: their mixed slopes with the point's x, then with its y and its z, each `plane` numbers
 * @param inverse six f64 a point (xx, xy, xz, yy, yz, zz)
 * @param bp three f64 a point
 * @param h size * size of f64, row by row; the lower triangle counts, and something may be written above it
 * @param shared unknowns of the lens
 */
export function eliminatePoints(
  points: i32,
  start: usize,
  rows: usize,
  w: usize,
  plane: i32,
  inverse: usize,
  bp: usize,
  h: usize,
  b: usize,
  size: i32,
  shared: i32,
): void {
  const ofX = w;
  const ofY = ofX + 8 * plane;
  const ofZ = ofY + 8 * plane;
  for (let n = 0; n < points; n++) {
    const first = load<i32>(start + 4 * n);
    const end = load<i32>(start + 4 * n, 4);
    const lens = end - shared;
    const own = inverse + 48 * n;
    const right = bp + 24 * n;
    for (let a = first; a < end; a++) {
      const x = load<f64>(ofX + 8 * a);
      const y = load<f64>(ofY + 8 * a);
      const z = load<f64>(ofZ + 8 * a);
      const byX = x * load<f64>(own) + y * load<f64>(own, 8) + z * load<f64>(own, 16);
      const byY = x * load<f64>(own, 8) + y * load<f64>(own, 24) + z * load<f64>(own, 32);
      const byZ = x * load<f64>(own, 16) + y * load<f64>(own, 32) + z * load<f64>(own, 40);
      const row = load<i32>(rows + 4 * a);
      const known = byX * load<f64>(right) + byY * load<f64>(right, 8) + byZ * load<f64>(right, 16);
      store<f64>(b + 8 * row, load<f64>(b + 8 * row) - known);
      const line = h + 8 * row * size;
      const vx = f64x2.splat(byX);
      const vy = f64x2.splat(byY);
      const vz = f64x2.splat(byZ);
      // Cameras up to the row's own, each whole.
      for (let e = first; e <= min(a, lens - 1); e += CAMERA) {
        const to = line + 8 * load<i32>(rows + 4 * e);
        for (let k = 0; k < 8 * CAMERA; k += 16) {
          const at = 8 * e + k;
          let sum = f64x2.mul(vx, v128.load(ofX + at));
          sum = f64x2.add(sum, f64x2.mul(vy, v128.load(ofY + at)));
          sum = f64x2.add(sum, f64x2.mul(vz, v128.load(ofZ + at)));
          v128.store(to + k, f64x2.sub(v128.load(to + k), sum));
        }
      }
      for (let e = lens; e <= a; e++) {
        const to = line + 8 * load<i32>(rows + 4 * e);
        const at = 8 * e;
        const sum = byX * load<f64>(ofX + at) + byY * load<f64>(ofY + at) + byZ * load<f64>(ofZ + at);
        store<f64>(to, load<f64>(to) - sum);
      }
    }
  }
}

/**
 * Cholesky factor of a symmetric positive definite matrix, in place in its lower triangle.
 *
 * @param first size of i32: column of each row's first number that is not 0
 * @returns false where the matrix is not positive definite
 */
export function factorise(matrix: usize, first: usize, size: i32): bool {
  for (let i = 0; i < size; i++) {
    const rowI = matrix + 8 * i * size;
    const firstI = load<i32>(first + 4 * i);
    for (let j = firstI; j <= i; j++) {
      const rowJ = matrix + 8 * j * size;
      let sums = f64x2.splat(0);
      let others = f64x2.splat(0);
      let k = max(firstI, load<i32>(first + 4 * j));
      for (; k + 4 <= j; k += 4) {
        const p = rowI + 8 * k;
        const q = rowJ + 8 * k;
        sums = f64x2.add(sums, f64x2.mul(v128.load(p), v128.load(q)));
        others = f64x2.add(others, f64x2.mul(v128.load(p, 16), v128.load(q, 16)));
      }
      sums = f64x2.add(sums, others);
      let left = load<f64>(rowI + 8 * j) - f64x2.extract_lane(sums, 0) - f64x2.extract_lane(sums, 1);
      for (; k < j; k++) left -= load<f64>(rowI + 8 * k) * load<f64>(rowJ + 8 * k);
      if (i === j) {
        if (!(left > 0)) return false;
        left = sqrt(left);
      } else left /= load<f64>(rowJ + 8 * j);
      store<f64>(rowI + 8 * j, left);
    }
  }
  return true;
}
