/** Separable Gaussian blur, a row at a time, in single precision. */

/** Widest kernel, weights on one side of the centre. */
const WIDEST: i32 = 64;
const above = memory.data(WIDEST * 4);
const below = memory.data(WIDEST * 4);

/**
 * Row y of a picture blurred both ways. Rows beyond the border repeat the edge row, and pixels the edge pixel.
 *
 * @param source the whole picture, f32
 * @param weights radius + 1 of f32: weight 0 is the centre, weight k serves both k px left and right
 * @param scratch for width + 2 radius f32
 * @param out one row
 */
export function blurRow(
  source: usize,
  width: i32,
  height: i32,
  y: i32,
  weights: usize,
  radius: i32,
  scratch: usize,
  out: usize,
): void {
  const stride = 4 * width;
  const centre = source + y * stride;
  for (let k = 1; k <= radius; k++) {
    store<usize>(above + 4 * k, source + max(0, y - k) * stride);
    store<usize>(below + 4 * k, source + min(height - 1, y + k) * stride);
  }
  const line = scratch + 4 * radius;
  for (let x = 0; x < stride; x += 64) {
    const w = v128.load_splat<f32>(weights);
    let a = f32x4.mul(w, v128.load(centre + x));
    let b = f32x4.mul(w, v128.load(centre + x, 16));
    let c = f32x4.mul(w, v128.load(centre + x, 32));
    let d = f32x4.mul(w, v128.load(centre + x, 48));
    for (let k = 4; k <= 4 * radius; k += 4) {
      const p = load<usize>(above + k) + x;
      const q = load<usize>(below + k) + x;
      const v = v128.load_splat<f32>(weights + k);
      a = f32x4.add(a, f32x4.mul(v, f32x4.add(v128.load(p), v128.load(q))));
      b = f32x4.add(b, f32x4.mul(v, f32x4.add(v128.load(p, 16), v128.load(q, 16))));
      c = f32x4.add(c, f32x4.mul(v, f32x4.add(v128.load(p, 32), v128.load(q, 32))));
      d = f32x4.add(d, f32x4.mul(v, f32x4.add(v128.load(p, 48), v128.load(q, 48))));
    }
    v128.store(line + x, a);
    v128.store(line + x, b, 16);
    v128.store(line + x, c, 32);
    v128.store(line + x, d, 48);
  }
  for (let k = 4; k <= 4 * radius; k += 4) {
    store<f32>(line - k, load<f32>(line));
    store<f32>(line + stride - 4 + k, load<f32>(line + stride - 4));
  }
  for (let x = 0; x < stride; x += 64) {
    const from = line + x;
    const w = v128.load_splat<f32>(weights);
    let a = f32x4.mul(w, v128.load(from));
    let b = f32x4.mul(w, v128.load(from, 16));
    let c = f32x4.mul(w, v128.load(from, 32));
    let d = f32x4.mul(w, v128.load(from, 48));
    for (let k = 4; k <= 4 * radius; k += 4) {
      const p = from - k;
      const q = from + k;
      const v = v128.load_splat<f32>(weights + k);
      a = f32x4.add(a, f32x4.mul(v, f32x4.add(v128.load(p), v128.load(q))));
      b = f32x4.add(b, f32x4.mul(v, f32x4.add(v128.load(p, 16), v128.load(q, 16))));
      c = f32x4.add(c, f32x4.mul(v, f32x4.add(v128.load(p, 32), v128.load(q, 32))));
      d = f32x4.add(d, f32x4.mul(v, f32x4.add(v128.load(p, 48), v128.load(q, 48))));
    }
    v128.store(out + x, a);
    v128.store(out + x, b, 16);
    v128.store(out + x, c, 32);
    v128.store(out + x, d, 48);
  }
}

/** Every other value of a row: n results. */
export function halveRow(source: usize, n: i32, out: usize): void {
  for (let x = 0; x < n; x += 4) {
    const from = source + 8 * x;
    v128.store(out + 4 * x, v128.shuffle<f32>(v128.load(from), v128.load(from, 16), 0, 2, 4, 6));
  }
}

/** 8-bit codes to grey 0 to 1. */
export function greyRow(source: usize, n: i32, out: usize): void {
  const white = f32x4.splat(255.0);
  for (let x = 0; x < n; x += 8) {
    const codes = v128.load_ext<u8>(source + x);
    const to = out + 4 * x;
    v128.store(to, f32x4.div(f32x4.convert_i32x4_u(i32x4.extend_low_i16x8_u(codes)), white));
    v128.store(to, f32x4.div(f32x4.convert_i32x4_u(i32x4.extend_high_i16x8_u(codes)), white), 16);
  }
}
