/** Numbers in a row. */
const COLUMNS: i32 = 6;

/** Adds weight * p qT to a matrix of six columns. @param p as many f64 as it has rows @param q six f64 */
export function addOuter(weight: f64, p: usize, rows: i32, q: usize, matrix: usize): void {
  const first = v128.load(q);
  const second = v128.load(q, 16);
  const third = v128.load(q, 32);
  for (let k = 0; k < rows; k++) {
    const by = f64x2.splat(weight * load<f64>(p + 8 * k));
    const row = matrix + 8 * COLUMNS * k;
    v128.store(row, f64x2.add(v128.load(row), f64x2.mul(by, first)));
    v128.store(row, f64x2.add(v128.load(row, 16), f64x2.mul(by, second)), 16);
    v128.store(row, f64x2.add(v128.load(row, 32), f64x2.mul(by, third)), 32);
  }
}
