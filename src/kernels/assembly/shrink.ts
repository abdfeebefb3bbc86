/** Area average of pictures: rows of source pixels are weighed into one row of sums, which is then weighed along. */

/** sums[i] = share * from[i], or += where `more` is not 0, for n bytes. share: 0 to 65535; sums: u32. */
export function weighRow(from: usize, n: i32, share: i32, sums: usize, more: i32): void {
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
 * Weighs a row of sums of RGB pixels down to `n` pixels of 8 bits, three channels side by side. The sum of all weights
 * must be below 2^14, so that single precision holds every sum, and a quotient a step below a whole number does not
 * round up to it: where it is larger, averageRow gives the same, slower.
 *
 * @param spans a target pixel: where the first and the last source pixel under it stand among the sums, bytes (two i32),
 *   and the overlap with either (two f32)
 * @param whole overlap of a source pixel that lies wholly inside
 * @param total sum of all weights
 */
export function averageRgbRow(sums: usize, spans: usize, n: i32, whole: i32, total: i32, out: usize): void {
  const half = f32x4.splat(<f32>(total >> 1));
  const divisor = f32x4.splat(<f32>total);
  const inner = f32x4.splat(<f32>whole);
  for (let x = 0; x < n; x++) {
    const span = spans + 16 * x;
    const first = sums + load<i32>(span);
    const last = sums + load<i32>(span, 4);
    let sum = f32x4.add(half, weighed(first, v128.load_splat<f32>(span, 8)));
    sum = f32x4.add(sum, weighed(last, v128.load_splat<f32>(span, 12)));
    for (let from = first + 12; from < last; from += 12) sum = f32x4.add(sum, weighed(from, inner));
    const codes = wholeOf(f32x4.div(sum, divisor));
    const narrow = i16x8.narrow_i32x4_s(codes, codes);
    v128.store_lane<u32>(out + 3 * x, i8x16.narrow_i16x8_u(narrow, narrow), 0);
  }
}

/**
 * Whole part of values from 0 to 255. At 2^23 a single's last bit is 1: adding that leaves the number in the low bits.
 * The instruction made for it, which minds values out of range, takes twice the time of all the rest of the row.
 */
function wholeOf(values: v128): v128 {
  const at = f32x4.add(f32x4.floor(values), f32x4.splat(8388608.0));
  return v128.and(at, i32x4.splat(255));
}

/** Four sums times a share; whole numbers below 2^24 throughout. */
function weighed(sums: usize, share: v128): v128 {
  return f32x4.mul(f32x4.convert_i32x4_s(v128.load(sums)), share);
}

/** The same for any number of channels and any size of sums below 2^53. */
export function averageRow(
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
