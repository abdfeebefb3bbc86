/**
 * Area average of pictures: rows of source pixels are weighed into one row of sums, which is then weighed along. The
 * quick kernels hold a row of sums in 16 bits, which is enough for the sizes that cameras write; the others take any.
 */

/** sums[i] = share * from[i], or += where `more` is not 0, for n bytes; i16, so that no sum may reach 2^15. */
export function weighRow(from: usize, n: i32, share: i32, sums: usize, more: i32): void {
  const weight = i16x8.splat(<i16>share);
  for (let i = 0; i < n; i += 16) {
    const bytes = v128.load(from + i);
    const to = sums + 2 * i;
    let a = i16x8.mul(i16x8.extend_low_i8x16_u(bytes), weight);
    let b = i16x8.mul(i16x8.extend_high_i8x16_u(bytes), weight);
    if (more) {
      a = i16x8.add(a, v128.load(to));
      b = i16x8.add(b, v128.load(to, 16));
    }
    v128.store(to, a);
    v128.store(to, b, 16);
  }
}

/** The same with sums of u32 and a share of up to 65535. */
export function weighWideRow(from: usize, n: i32, share: i32, sums: usize, more: i32): void {
  const weight = i16x8.splat(<i16>share);
  for (let i = 0; i < n; i += 16) {
    const bytes = v128.load(from + i);
    const low = i16x8.extend_low_i8x16_u(bytes);
    const high = i16x8.extend_high_i8x16_u(bytes);
    const to = sums + 4 * i;
    let a = i32x4.extmul_low_i16x8_u(low, weight);
    let b = i32x4.extmul_high_i16x8_u(low, weight);
    let c = i32x4.extmul_low_i16x8_u(high, weight);
    let d = i32x4.extmul_high_i16x8_u(high, weight);
    if (more) {
      a = i32x4.add(a, v128.load(to));
      b = i32x4.add(b, v128.load(to, 16));
      c = i32x4.add(c, v128.load(to, 32));
      d = i32x4.add(d, v128.load(to, 48));
    }
    v128.store(to, a);
    v128.store(to, b, 16);
    v128.store(to, c, 32);
    v128.store(to, d, 48);
  }
}

/**
 * Weighs a row of 16-bit sums of RGB pixels down to `n` pixels of 8 bits, three channels side by side. All lists have
 * space for whole vectors, as many numbers as there are target pixels.
 *
 * @param starts first source pixel under each target pixel, i32
 * @param weights overlaps of the source pixels from there on, two at a time (pairs of i16): a list of the first two, a
 *   list of the next two...; 0 beyond the last
 * @param stride bytes from one such list to the next
 * @param pairs how many such lists there are
 * @param total sum of all weights, rows and pixels: see {@link quotients}
 */
export function averageRgbRow(
  sums: usize,
  starts: usize,
  weights: usize,
  stride: i32,
  pairs: i32,
  n: i32,
  total: i32,
  out: usize,
): void {
  // Four pixels at a time: stores of three bytes each would wait for one another.
  for (let x = 0; x < n; x += 4) {
    const start = starts + 4 * x;
    let from = sums;
    let weight = weights + 4 * x;
    let a = i32x4.splat(0);
    let b = a;
    let c = a;
    let d = a;
    for (let pair = 0; pair < pairs; pair++) {
      a = i32x4.add(a, pairSum(from + 6 * load<i32>(start), weight));
      b = i32x4.add(b, pairSum(from + 6 * load<i32>(start, 4), weight + 4));
      c = i32x4.add(c, pairSum(from + 6 * load<i32>(start, 8), weight + 8));
      d = i32x4.add(d, pairSum(from + 6 * load<i32>(start, 12), weight + 12));
      from += 12;
      weight += stride;
    }
    const ab = i16x8.narrow_i32x4_s(quotients(a, total), quotients(b, total));
    const cd = i16x8.narrow_i32x4_s(quotients(c, total), quotients(d, total));
    const codes = i8x16.narrow_i16x8_u(ab, cd);
    v128.store(
      out + 3 * x,
      i8x16.swizzle(codes, i8x16(0, 1, 2, 4, 5, 6, 8, 9, 10, 12, 13, 14, -1, -1, -1, -1)),
    );
  }
}

/** The weighed sums of two neighbouring RGB pixels, a channel a lane. */
function pairSum(from: usize, weight: usize): v128 {
  const pixels = v128.load(from);
  // A swizzle: its pattern stays in a register, while that of a shuffle is made anew each time.
  const byChannel = i8x16.swizzle(pixels, i8x16(0, 1, 6, 7, 2, 3, 8, 9, 4, 5, 10, 11, -1, -1, -1, -1));
  return i32x4.dot_i16x8_s(byChannel, v128.load_splat<i32>(weight));
}

/** {@link averageRgbRow} for one channel. */
export function averageGreyRow(
  sums: usize,
  starts: usize,
  weights: usize,
  stride: i32,
  pairs: i32,
  n: i32,
  total: i32,
  out: usize,
): void {
  for (let x = 0; x < n; x += 4) {
    const start = starts + 4 * x;
    let from = sums;
    let weight = weights + 4 * x;
    let sum = i32x4.splat(0);
    for (let pair = 0; pair < pairs; pair++) {
      let pixels = v128.load_zero<u32>(from + 2 * load<i32>(start));
      pixels = v128.load_lane<u32>(from + 2 * load<i32>(start, 4), pixels, 1);
      pixels = v128.load_lane<u32>(from + 2 * load<i32>(start, 8), pixels, 2);
      pixels = v128.load_lane<u32>(from + 2 * load<i32>(start, 12), pixels, 3);
      sum = i32x4.add(sum, i32x4.dot_i16x8_s(pixels, v128.load(weight)));
      from += 4;
      weight += stride;
    }
    const codes = i16x8.narrow_i32x4_s(quotients(sum, total), i32x4.splat(0));
    v128.store_lane<u32>(out + x, i8x16.narrow_i16x8_u(codes, codes), 0);
  }
}

/**
 * Sums over their total, rounded half up: exact for a total below 2^14. Half a unit more keeps every quotient 2^-15 away
 * from a whole number, and the product with the inverse is nearer than that to it; so it can be cut to a whole number.
 *
 * At 2^23 a single's last bit is 1: what comes out of adding that, less a half, has the whole number in its low bits. The
 * instruction made for it, which minds values out of range, takes twice the time of all the rest of the row.
 */
function quotients(sums: v128, total: i32): v128 {
  const half = f32x4.splat(<f32>(total >> 1) + <f32>0.5);
  const inverse = f32x4.splat(<f32>1 / <f32>total);
  const exact = f32x4.mul(f32x4.add(f32x4.convert_i32x4_s(sums), half), inverse);
  return v128.and(f32x4.add(exact, f32x4.splat(8388607.5)), i32x4.splat(255));
}

/**
 * Weighs a row of u32 sums down, for any number of channels and sums below 2^53 all told.
 *
 * @param spans a target pixel: where the first and the last source pixel under it stand among the sums, bytes (two i32),
 *   and the overlap with either (two f32)
 * @param whole overlap of a source pixel that lies wholly inside
 */
export function averageWideRow(
  sums: usize,
  spans: usize,
  n: i32,
  channels: i32,
  whole: i32,
  rounding: f64,
  inverse: f64,
  out: usize,
): void {
  const step = 4 * channels;
  for (let x = 0; x < n; x++) {
    const span = spans + 16 * x;
    for (let channel = 0; channel < channels; channel++) {
      const first = sums + load<i32>(span) + 4 * channel;
      const last = sums + load<i32>(span, 4) + 4 * channel;
      let inside: u64 = 0;
      for (let from = first + step; from < last; from += step) inside += load<u32>(from);
      const total =
        inside * <u64>whole +
        <u64>load<u32>(first) * <u64>load<f32>(span, 8) +
        <u64>load<u32>(last) * <u64>load<f32>(span, 12);
      store<u8>(out + channels * x + channel, <u8>((<f64>total + rounding) * inverse));
    }
  }
}
