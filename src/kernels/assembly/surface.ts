/** Linear light and band energies of the surface picture in cells of 4 x 4 px, six f32 a cell. */

const FIELDS: i32 = 24;

/**
 * Adds one row of RGB pixels to a row of cells: linear red, green, blue and the share of saturated pixels.
 *
 * @param shares 256 f32: a code's linear light over the pixels of a cell
 */
export function cellRow(
  rgb: usize,
  columns: i32,
  shares: usize,
  clipped: i32,
  blocked: i32,
  cells: usize,
): void {
  for (let column = 0; column < columns; column++) {
    const from = rgb + 12 * column;
    const to = cells + FIELDS * column;
    let red = load<f32>(to);
    let green = load<f32>(to, 4);
    let blue = load<f32>(to, 8);
    let saturated: f32 = 0;
    for (let i = 0; i < 12; i += 3) {
      const r = <i32>load<u8>(from + i);
      const g = <i32>load<u8>(from + i, 1);
      const b = <i32>load<u8>(from + i, 2);
      red += load<f32>(shares + 4 * r);
      green += load<f32>(shares + 4 * g);
      blue += load<f32>(shares + 4 * b);
      saturated += <f32>(max(max(r, g), b) >= clipped || max(max(r, g), b) <= blocked);
    }
    store<f32>(to, red);
    store<f32>(to, green, 4);
    store<f32>(to, blue, 8);
    store<f32>(to, load<f32>(to, 12) + saturated / 16, 12);
  }
}

/** Squares of a - b over four values, summed. */
function squareSum(a: v128, b: v128): f32 {
  const d = f32x4.sub(a, b);
  const s = f32x4.mul(d, d);
  return (
    f32x4.extract_lane(s, 0) + f32x4.extract_lane(s, 1) + f32x4.extract_lane(s, 2) + f32x4.extract_lane(s, 3)
  );
}

/** Adds a row's fine band energy, (sharp - soft)^2, to field 4 of a row of cells. */
export function fineRow(sharp: usize, soft: usize, columns: i32, cells: usize): void {
  for (let column = 0; column < columns; column++) {
    const at = cells + FIELDS * column;
    const energy = squareSum(v128.load(sharp + 16 * column), v128.load(soft + 16 * column));
    store<f32>(at, load<f32>(at, 16) + energy / 16, 16);
  }
}

/** Means of 2 x 2 px of two rows: n results. */
export function halfRow(upper: usize, lower: usize, n: i32, out: usize): void {
  const quarter = f32x4.splat(0.25);
  for (let x = 0; x < n; x += 4) {
    const a = f32x4.add(v128.load(upper + 8 * x), v128.load(lower + 8 * x));
    const b = f32x4.add(v128.load(upper + 8 * x, 16), v128.load(lower + 8 * x, 16));
    const sum = f32x4.add(v128.shuffle<f32>(a, b, 0, 2, 4, 6), v128.shuffle<f32>(a, b, 1, 3, 5, 7));
    v128.store(out + 4 * x, f32x4.mul(sum, quarter));
  }
}

/** Adds a half-size row's mid band energy, (half - softer)^2, to field 5 of a row of cells: two pixels a cell. */
export function midRow(half: usize, softer: usize, columns: i32, cells: usize): void {
  for (let column = 0; column < columns; column++) {
    const at = cells + FIELDS * column;
    const a = load<f32>(half + 8 * column) - load<f32>(softer + 8 * column);
    const b = load<f32>(half + 8 * column, 4) - load<f32>(softer + 8 * column, 4);
    store<f32>(at, load<f32>(at, 20) + (a * a + b * b) / 4, 20);
  }
}
