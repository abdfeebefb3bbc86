/** Rows of interleaved 8-bit RGB: luma, and pixels at the ends of the code range. */

/** Luma of four pixels (12 bytes from `rgb`), times 2^14: ITU-R BT.601 weights in 14-bit fixed point. */
function fourLumas(rgb: usize): v128 {
  const pixels = v128.load(rgb);
  const redGreen = i8x16.swizzle(pixels, i8x16(0, -1, 1, -1, 3, -1, 4, -1, 6, -1, 7, -1, 9, -1, 10, -1));
  const blue = i8x16.swizzle(pixels, i8x16(2, -1, -1, -1, 5, -1, -1, -1, 8, -1, -1, -1, 11, -1, -1, -1));
  return i32x4.add(
    i32x4.dot_i16x8_s(redGreen, i16x8(4899, 9617, 4899, 9617, 4899, 9617, 4899, 9617)),
    i32x4.dot_i16x8_s(blue, i16x8(1868, 0, 1868, 0, 1868, 0, 1868, 0)),
  );
}

function rounded(lumas: v128): v128 {
  return i32x4.shr_u(i32x4.add(lumas, i32x4.splat(8192)), 14);
}

/** Lumas of sixteen pixels as 8-bit codes. */
function codesOf(a: v128, b: v128, c: v128, d: v128): v128 {
  return i8x16.narrow_i16x8_u(
    i16x8.narrow_i32x4_s(rounded(a), rounded(b)),
    i16x8.narrow_i32x4_s(rounded(c), rounded(d)),
  );
}

/** One row of RGB to 8-bit luma, rounded. */
export function lumaRow(rgb: usize, luma: usize, width: i32): void {
  for (let x = 0; x < width; x += 16) {
    const from = rgb + 3 * x;
    const codes = codesOf(fourLumas(from), fourLumas(from + 12), fourLumas(from + 24), fourLumas(from + 36));
    v128.store(luma + x, codes);
  }
}

/** The same, and to `exact` in single precision, 0 to 255, unrounded: 22 bits, so that nothing is lost. */
export function exactLumaRow(rgb: usize, luma: usize, exact: usize, width: i32): void {
  const unit = f32x4.splat(1.0 / 16384.0);
  for (let x = 0; x < width; x += 16) {
    const from = rgb + 3 * x;
    const a = fourLumas(from);
    const b = fourLumas(from + 12);
    const c = fourLumas(from + 24);
    const d = fourLumas(from + 36);
    v128.store(luma + x, codesOf(a, b, c, d));
    const to = exact + 4 * x;
    v128.store(to, f32x4.mul(f32x4.convert_i32x4_s(a), unit));
    v128.store(to, f32x4.mul(f32x4.convert_i32x4_s(b), unit), 16);
    v128.store(to, f32x4.mul(f32x4.convert_i32x4_s(c), unit), 32);
    v128.store(to, f32x4.mul(f32x4.convert_i32x4_s(d), unit), 48);
  }
}

/** Bits 0, 3, 6 ... 45: the first byte of each of 16 pixels. */
const PIXELS: u64 = 0x249249249249;

/** Which of the 48 bytes of 16 pixels are at or above `least`, one bit a byte. */
function atLeast(a: v128, b: v128, c: v128, least: v128): u64 {
  return (
    <u64>i8x16.bitmask(i8x16.ge_u(a, least)) |
    ((<u64>i8x16.bitmask(i8x16.ge_u(b, least))) << 16) |
    ((<u64>i8x16.bitmask(i8x16.ge_u(c, least))) << 32)
  );
}

function atMost(a: v128, b: v128, c: v128, most: v128): u64 {
  return (
    <u64>i8x16.bitmask(i8x16.le_u(a, most)) |
    ((<u64>i8x16.bitmask(i8x16.le_u(b, most))) << 16) |
    ((<u64>i8x16.bitmask(i8x16.le_u(c, most))) << 32)
  );
}

function add(count: usize, bits: u64): void {
  store<u32>(count, load<u32>(count) + <u32>popcnt<u64>(bits));
}

/**
 * Counts the pixels of one row at the ends of the code range, a tile at a time.
 *
 * @param edges tiles + 1 pixel positions, i32
 * @param counts four u32 a tile, added to: pixels with any channel at or above `clipped`, two or three of them while the
 *   third is at or above `near`, all three of them, and with all three at or below `blocked`
 */
export function countRow(
  rgb: usize,
  edges: usize,
  tiles: i32,
  clipped: i32,
  near: i32,
  blocked: i32,
  counts: usize,
): void {
  const top = i8x16.splat(<i8>clipped);
  const under = i8x16.splat(<i8>near);
  const bottom = i8x16.splat(<i8>blocked);
  for (let tile = 0; tile < tiles; tile++) {
    const end = load<i32>(edges + 4 * (tile + 1));
    const to = counts + 16 * tile;
    for (let x = load<i32>(edges + 4 * tile); x < end; x += 16) {
      const from = rgb + 3 * x;
      const a = v128.load(from);
      const b = v128.load(from, 16);
      const c = v128.load(from, 32);
      const high = i8x16.max_u(i8x16.max_u(a, b), c);
      const low = i8x16.min_u(i8x16.min_u(a, b), c);
      if (!v128.any_true(v128.or(i8x16.ge_u(high, top), i8x16.le_u(low, bottom)))) continue;
      const left = end - x;
      const pixels = left >= 16 ? PIXELS : PIXELS & (((<u64>1) << (3 * left)) - 1);
      const one = atLeast(a, b, c, top);
      if (one) {
        const two = one >> 1;
        const three = one >> 2;
        add(to, (one | two | three) & pixels);
        const third = atLeast(a, b, c, under);
        const all = third & (third >> 1) & (third >> 2);
        add(to + 4, ((one & two) | (two & three) | (one & three)) & all & pixels);
        add(to + 8, one & two & three & pixels);
      }
      const dark = atMost(a, b, c, bottom);
      if (dark) add(to + 12, dark & (dark >> 1) & (dark >> 2) & pixels);
    }
  }
}
