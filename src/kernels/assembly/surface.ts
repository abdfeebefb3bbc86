/** Linear light and band energies of the surface picture in cells of 4 x 4 px, six f32 a cell. */

const FIELDS: i32 = 24;

/** Bits 0, 3, 6, 9: the first byte of each of four pixels. */
const FOUR_PIXELS: i32 = 0x249;

/** How many of four RGB pixels are at or beyond an end of the code range with their brightest channel. */
function saturatedOf(rgb: usize, clipped: v128, blocked: v128): i32 {
  const codes = v128.load(rgb);
  const green = v128.load(rgb, 1);
  const blue = v128.load(rgb, 2);
  const brightest = i8x16.max_u(i8x16.max_u(codes, green), blue);
  const ends = v128.or(i8x16.ge_u(brightest, clipped), i8x16.le_u(brightest, blocked));
  return popcnt(i8x16.bitmask(ends) & FOUR_PIXELS);
}

/**
 * Fills a row of cells from its four rows of RGB pixels: linear red, green, blue and the share of saturated pixels. The
 * energies become 0.
 *
 * @param stride bytes from a row of pixels to the next
 * @param shares 256 f32: a code's linear light over the pixels of a cell
 */
export function fillCellRow(
  rgb: usize,
  stride: i32,
  columns: i32,
  shares: usize,
  clipped: i32,
  blocked: i32,
  cells: usize,
): void {
  const top = i8x16.splat(<i8>clipped);
  const bottom = i8x16.splat(<i8>blocked);
  for (let column = 0; column < columns; column++) {
    let red: f32 = 0;
    let green: f32 = 0;
    let blue: f32 = 0;
    let saturated = 0;
    let row = rgb + 12 * column;
    for (let y = 0; y < 4; y++) {
      for (let i = 0; i < 12; i += 3) {
        red += load<f32>(shares + 4 * <usize>load<u8>(row + i));
        green += load<f32>(shares + 4 * <usize>load<u8>(row + i, 1));
        blue += load<f32>(shares + 4 * <usize>load<u8>(row + i, 2));
      }
      saturated += saturatedOf(row, top, bottom);
      row += stride;
    }
    const to = cells + FIELDS * column;
    store<f32>(to, red);
    store<f32>(to, green, 4);
    store<f32>(to, blue, 8);
    store<f32>(to, <f32>saturated / 16, 12);
    store<u64>(to, 0, 16);
  }
}

/**
 * Sums each field over a block of cells.
 *
 * @param cells the block's first cell
 * @param stride bytes from a cell to the one below
 * @param out six f64
 */
export function sumCells(cells: usize, columns: i32, rows: i32, stride: i32, out: usize): void {
  let a = f64x2.splat(0);
  let b = a;
  let c = a;
  for (let row = 0; row < rows; row++) {
    const start = cells + stride * row;
    const end = start + FIELDS * columns;
    for (let cell = start; cell < end; cell += FIELDS) {
      a = f64x2.add(a, f64x2.promote_low_f32x4(v128.load_zero<u64>(cell)));
      b = f64x2.add(b, f64x2.promote_low_f32x4(v128.load_zero<u64>(cell, 8)));
      c = f64x2.add(c, f64x2.promote_low_f32x4(v128.load_zero<u64>(cell, 16)));
    }
  }
  v128.store(out, a);
  v128.store(out, b, 16);
  v128.store(out, c, 32);
}

/** Luminance of the most luminous of a block of cells: red, green and blue by the weights given. */
export function brightestCell(
  cells: usize,
  columns: i32,
  rows: i32,
  stride: i32,
  red: f64,
  green: f64,
  blue: f64,
): f64 {
  let most: f64 = 0;
  for (let row = 0; row < rows; row++) {
    const start = cells + stride * row;
    const end = start + FIELDS * columns;
    for (let cell = start; cell < end; cell += FIELDS) {
      const light =
        red * <f64>load<f32>(cell) + green * <f64>load<f32>(cell, 4) + blue * <f64>load<f32>(cell, 8);
      most = max(most, light);
    }
  }
  return most;
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
