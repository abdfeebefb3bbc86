/** Cell size of the band energies; see surface.ts. */
const CELL = 4;

/** A Gaussian narrower than this has almost nothing beside its centre tap; smaller pictures keep these bands, px. */
const NARROWEST_SIGMA = 0.6;

export interface Bands {
  readonly columns: number;
  readonly rows: number;
  /** Mean squared fine band (detail finer than sigma 1) of each cell, grey levels squared. Flat: 0. */
  readonly fine: Float32Array;
  /** Mean squared mid band (between sigma 1 and sigma 3). Flat: 0. */
  readonly mid: Float32Array;
  /** Energy that white noise of variance 1 brings into either band. */
  readonly noiseGain: { readonly fine: number; readonly mid: number };
}

/**
 * Energy of the fine and the mid detail of a picture, in cells of 4 x 4 px. Blur takes the fine band first, so
 * fine over mid falls with blur whatever the contrast of the texture. Sigmas are stated at a long edge of
 * 1920 px; `scale` is the picture's long edge over 1920.
 *
 * The mid band is taken at half size, where the picture has already lost what half size cannot hold.
 *
 * @param luma row-major grey levels, width x height
 * @param scale 0 < scale <= 1; below NARROWEST_SIGMA the bands no longer shrink with the picture
 */
export function measureBands(luma: Float32Array, width: number, height: number, scale: number): Bands {
  const columns = Math.floor(width / CELL);
  const rows = Math.floor(height / CELL);
  const sigma = Math.max(scale, NARROWEST_SIGMA);
  const narrow = gaussian(sigma);
  // sigma 1 to sigma 3 at full size is a blur of sqrt(9 - 1) more, half that at half size.
  const wide = gaussian((Math.sqrt(8) * sigma) / 2);
  const soft = blur(luma, width, height, narrow);
  const fine = new Float32Array(columns * rows);
  for (let row = 0; row < rows; row++) {
    for (let dy = 0; dy < CELL; dy++) {
      let i = (row * CELL + dy) * width;
      for (let column = 0; column < columns; column++, i += CELL) {
        const a = luma[i] - soft[i];
        const b = luma[i + 1] - soft[i + 1];
        const c = luma[i + 2] - soft[i + 2];
        const d = luma[i + 3] - soft[i + 3];
        const cell = row * columns + column;
        fine[cell] += (a * a + b * b + c * c + d * d) / (CELL * CELL);
      }
    }
  }
  const halfWidth = width >> 1;
  const halfHeight = height >> 1;
  const half = new Float32Array(halfWidth * halfHeight);
  for (let y = 0, i = 0; y < halfHeight; y++) {
    let from = 2 * y * width;
    for (let x = 0; x < halfWidth; x++, i++, from += 2) {
      half[i] = (soft[from] + soft[from + 1] + soft[from + width] + soft[from + width + 1]) / 4;
    }
  }
  const softer = blur(half, halfWidth, halfHeight, wide);
  const mid = new Float32Array(columns * rows);
  for (let y = 0, i = 0; y < 2 * rows; y++, i = y * halfWidth) {
    for (let x = 0; x < 2 * columns; x++, i++) {
      const d = half[i] - softer[i];
      const cell = (y >> 1) * columns + (x >> 1);
      mid[cell] += (d * d) / 4;
    }
  }
  return { columns, rows, fine, mid, noiseGain: noiseGain(narrow, wide) };
}

/** One-sided taps (centre first) of a Gaussian, cut at 3 sigma, summing to 1 over both sides. */
function gaussian(sigma: number): Float64Array {
  const radius = Math.max(1, Math.ceil(3 * sigma));
  const taps = Float64Array.from({ length: radius + 1 }, (_, i) => Math.exp(-(i * i) / (2 * sigma * sigma)));
  const sum = taps.reduce((total, tap, i) => total + (i === 0 ? tap : 2 * tap), 0);
  return taps.map((tap) => tap / sum);
}

/** Rows and columns of the widest blur, on one side: 3 sigma of the wide one, sqrt(2). */
const REACH = 5;
const ROWS = 2 * REACH + 1;

/**
 * Separable blur, REACH + 1 taps at most; the frame's edge is repeated. Only the ROWS rows that one result row
 * needs are held blurred across, rounded to single precision, in double: the sums then convert nothing.
 */
function blur(image: Float32Array, width: number, height: number, taps: Float64Array): Float32Array {
  const weigh = taps.length <= 4 ? weighSeven : weighEleven;
  const all = new Float64Array(REACH + 1);
  all.set(taps);
  const along = Int32Array.from({ length: ROWS }, (_, k) => k);
  const at = new Int32Array(ROWS);
  const line = new Float64Array(width + 2 * REACH);
  const across = new Float32Array(width);
  const ring = new Float64Array(ROWS * width);
  const out = new Float32Array(image.length);
  for (let y = 0, next = 0; y < height; y++) {
    for (; next < height && next <= y + REACH; next++) {
      const from = next * width;
      line.fill(image[from], 0, REACH);
      line.set(image.subarray(from, from + width), REACH);
      line.fill(image[from + width - 1], width + REACH);
      weigh(line, along, all, across, 0, width);
      ring.set(across, (next % ROWS) * width);
    }
    for (let k = -REACH; k <= REACH; k++) {
      at[REACH + k] = (Math.max(0, Math.min(height - 1, y + k)) % ROWS) * width;
    }
    weigh(ring, at, all, out, y * width, width);
  }
  return out;
}

/**
 * out[to + x] = sum over k of taps[|k|] from[at[5 + k] + x], for x in [0, n) and k from -3 to 3. Along a row and
 * across rows alike; written out because a loop over the taps costs twice the time.
 */
function weighSeven(
  from: Float64Array,
  at: Int32Array,
  taps: Float64Array,
  out: Float32Array,
  to: number,
  n: number,
): void {
  const [, , a3, a2, a1, c, b1, b2, b3] = at;
  const [t0, t1, t2, t3] = taps;
  for (let x = 0; x < n; x++) {
    out[to + x] =
      t0 * from[c + x] +
      t1 * (from[a1 + x] + from[b1 + x]) +
      t2 * (from[a2 + x] + from[b2 + x]) +
      t3 * (from[a3 + x] + from[b3 + x]);
  }
}

/** The same for k from -5 to 5. */
function weighEleven(
  from: Float64Array,
  at: Int32Array,
  taps: Float64Array,
  out: Float32Array,
  to: number,
  n: number,
): void {
  const [a5, a4, a3, a2, a1, c, b1, b2, b3, b4, b5] = at;
  const [t0, t1, t2, t3, t4, t5] = taps;
  for (let x = 0; x < n; x++) {
    out[to + x] =
      t0 * from[c + x] +
      t1 * (from[a1 + x] + from[b1 + x]) +
      t2 * (from[a2 + x] + from[b2 + x]) +
      t3 * (from[a3 + x] + from[b3 + x]) +
      t4 * (from[a4 + x] + from[b4 + x]) +
      t5 * (from[a5 + x] + from[b5 + x]);
  }
}

/** Energy of a unit impulse after the same filters: by Parseval, the gain for white noise. */
function noiseGain(narrow: Float64Array, wide: Float64Array): Bands["noiseGain"] {
  const both = (taps: Float64Array) => [...taps.slice(1).reverse(), ...taps];
  const n = both(narrow);
  // fine = impulse - g x g: 1 - 2 g0^2 + (sum g^2)^2.
  const power = n.reduce((sum, tap) => sum + tap * tap, 0);
  const fine = 1 - 2 * narrow[0] ** 2 + power ** 2;
  // Noise at half size: blur by g, then the mean of two, at every second place. Autocorrelation of that line
  // kernel at even lags gives what the wide filter sees.
  const box = convolve(n, [0.5, 0.5]);
  const lag = (k: number) => box.reduce((sum, tap, i) => sum + tap * (box[i + 2 * k] ?? 0), 0);
  const w = both(wide);
  const radius = wide.length - 1;
  // Energy of (delta - w x w) applied to separable noise with line autocorrelation r: r0^2 - 2 c^2 + e^2.
  const r0 = lag(0);
  let c = 0;
  let e = 0;
  for (let i = 0; i < w.length; i++) {
    c += w[i] * lag(Math.abs(i - radius));
    for (let j = 0; j < w.length; j++) e += w[i] * w[j] * lag(Math.abs(i - j));
  }
  return { fine, mid: r0 * r0 - 2 * c * c + e * e };
}

function convolve(a: readonly number[], b: readonly number[]): number[] {
  const out = new Array<number>(a.length + b.length - 1).fill(0);
  for (let i = 0; i < a.length; i++) for (let j = 0; j < b.length; j++) out[i + j] += a[i] * b[j];
  return out;
}
