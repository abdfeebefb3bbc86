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
 * Weighs a row of sums of RGB pixels down to `n` pixels of 8 bits, three channels side by side. All sums times all
 * shares must stay below 2^32: where they do not, averageRow gives the same, slower.
 *
 * @param spans four i32 a target pixel: first and last source pixel under it and the overlap with either
 * @param whole overlap of a source pixel that lies wholly inside
 * @param rounding added to a sum before it is multiplied with `inverse`, one over the sum of all weights
 */
export function averageRgbRow(
  sums: usize,
  spans: usize,
  n: i32,
  whole: i32,
  rounding: f64,
  inverse: f64,
  out: usize,
): void {
  const half = f64x2.splat(rounding);
  const factor = f64x2.splat(inverse);
  for (let x = 0; x < n; x++) {
    const span = spans + 16 * x;
    const first = sums + 12 * load<i32>(span);
    const last = sums + 12 * load<i32>(span, 4);
    let inside = i32x4.splat(0);
    for (let from = first + 12; from < last; from += 12) inside = i32x4.add(inside, v128.load(from));
    const ends = i32x4.add(
      i32x4.mul(v128.load(first), v128.load_splat<i32>(span + 8)),
      i32x4.mul(v128.load(last), v128.load_splat<i32>(span + 12)),
    );
    const total = i32x4.add(ends, i32x4.mul(inside, i32x4.splat(whole)));
    const redGreen = f64x2.mul(f64x2.add(f64x2.convert_low_i32x4_u(total), half), factor);
    const blue = f64x2.mul(
      f64x2.add(f64x2.convert_low_i32x4_u(v128.shuffle<i32>(total, total, 2, 3, 2, 3)), half),
      factor,
    );
    const codes = v128.shuffle<i32>(
      i32x4.trunc_sat_f64x2_s_zero(redGreen),
      i32x4.trunc_sat_f64x2_s_zero(blue),
      0,
      1,
      4,
      5,
    );
    const narrow = i16x8.narrow_i32x4_s(codes, codes);
    v128.store_lane<u32>(out + 3 * x, i8x16.narrow_i16x8_u(narrow, narrow), 0);
  }
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
      const first = sums + step * load<i32>(span) + 4 * channel;
      const last = sums + step * load<i32>(span, 4) + 4 * channel;
      let inside: u64 = 0;
      for (let from = first + step; from < last; from += step) inside += load<u32>(from);
      const total =
        inside * <u64>whole +
        (<u64>load<u32>(first)) * (<u64>load<u32>(span, 8)) +
        (<u64>load<u32>(last)) * (<u64>load<u32>(span, 12));
      store<u8>(out + channels * x + channel, <u8>((<f64>total + rounding) * inverse));
    }
  }
}
