/** Directions and descriptors of blobs; what they are is told in measure/features/orientation.ts and descriptor.ts. */

const BINS: i32 = 36;
const HALF_TURN = <f32>Math.PI;
const FULL_TURN = <f32>(2 * Math.PI);
const raw = memory.data(BINS * 4);
const smooth = memory.data(BINS * 4);

/**
 * Angle of (x, y) in turns, -0.5 to 0.5, within 2e-6 turns.
 * @see Abramowitz & Stegun 1964, 4.4.49: the arc tangent of 0 to 1 by powers up to the ninth, within 1e-5 radians
 */
function turnsOf(y: f32, x: f32): f32 {
  const ax = abs(x);
  const ay = abs(y);
  const larger = max(ax, ay);
  if (larger === 0) return 0;
  const t = min(ax, ay) / larger;
  const s = t * t;
  let turns: f32 =
    t *
    (0.999866 + s * (-0.3302995 + s * (0.180141 + s * (-0.085133 + s * 0.0208351)))) *
    (<f32>1 / FULL_TURN);
  if (ay > ax) turns = <f32>0.25 - turns;
  if (x < 0) turns = <f32>0.5 - turns;
  return y < 0 ? -turns : turns;
}

function smoothed(bin: i32): f32 {
  return load<f32>(smooth + 4 * ((bin + BINS) % BINS));
}

/** Parabola through the peak and its neighbours, radians. */
function peakAngle(bin: i32): f32 {
  const left = smoothed(bin - 1);
  const right = smoothed(bin + 1);
  const bend = left - 2 * smoothed(bin) + right;
  const at: f32 = <f32>bin + (bend === 0 ? <f32>0 : (<f32>0.5 * (left - right)) / bend);
  const angle: f32 = (at / <f32>BINS) * FULL_TURN - HALF_TURN;
  return angle <= -HALF_TURN ? angle + FULL_TURN : angle;
}

/**
 * Dominant gradient directions around a point of a Gaussian level.
 *
 * @param spacing px between samples
 * @param window three f32 a sample: steps right and down of the centre, weight
 * @param secondPeak share of the strongest at which a second direction is kept
 * @param out two f32, radians
 * @returns 0, 1 or 2
 */
export function dominantDirections(
  image: usize,
  width: i32,
  height: i32,
  x: f32,
  y: f32,
  spacing: f32,
  window: usize,
  count: i32,
  secondPeak: f32,
  out: usize,
): i32 {
  memory.fill(raw, 0, BINS * 4);
  const end = window + 12 * count;
  for (let sample = window; sample < end; sample += 12) {
    const px = <i32>floor<f32>(x + load<f32>(sample) * spacing + <f32>0.5);
    const py = <i32>floor<f32>(y + load<f32>(sample, 4) * spacing + <f32>0.5);
    if (px < 1 || px > width - 2 || py < 1 || py > height - 2) continue;
    const at = image + 4 * (py * width + px);
    const gx = load<f32>(at + 4) - load<f32>(at - 4);
    const gy = load<f32>(at + 4 * width) - load<f32>(at - 4 * width);
    const bin: f32 = (turnsOf(gy, gx) + <f32>0.5) * <f32>BINS;
    const low = <i32>bin;
    const share = bin - <f32>low;
    const weight = load<f32>(sample, 8) * sqrt(gx * gx + gy * gy);
    const one = raw + 4 * (low >= BINS ? low - BINS : low);
    const other = raw + 4 * (low + 1 >= BINS ? low + 1 - BINS : low + 1);
    store<f32>(one, load<f32>(one) + weight * (<f32>1 - share));
    store<f32>(other, load<f32>(other) + weight * share);
  }
  // [1 4 6 4 1] / 16 around the circle.
  for (let k = 0; k < BINS; k++) {
    const a = load<f32>(raw + 4 * ((k + 1) % BINS)) + load<f32>(raw + 4 * ((k + BINS - 1) % BINS));
    const b = load<f32>(raw + 4 * ((k + 2) % BINS)) + load<f32>(raw + 4 * ((k + BINS - 2) % BINS));
    store<f32>(smooth + 4 * k, (<f32>6 * load<f32>(raw + 4 * k) + <f32>4 * a + b) / <f32>16);
  }
  let best = -1;
  let second = -1;
  for (let k = 0; k < BINS; k++) {
    const v = smoothed(k);
    if (v <= 0 || v < smoothed(k - 1) || v <= smoothed(k + 1)) continue;
    if (best < 0 || v > smoothed(best)) {
      second = best;
      best = k;
    } else if (second < 0 || v > smoothed(second)) second = k;
  }
  if (best < 0) return 0;
  store<f32>(out, peakAngle(best));
  if (second < 0 || smoothed(second) < secondPeak * smoothed(best)) return 1;
  store<f32>(out, peakAngle(second), 4);
  return 2;
}

const PATCH: i32 = 18;
const INNER: i32 = 16;
const CELLS: i32 = 16;
const DIRECTIONS: i32 = 8;
const samples = memory.data(PATCH * PATCH * 4);
const histogram = memory.data(CELLS * DIRECTIONS * 4);

/** Reads a turned patch, bilinear; outside the picture the edge pixel repeats. (ux, uy): one sample along its rows. */
function samplePatch(image: usize, width: i32, height: i32, x: f32, y: f32, ux: f32, uy: f32): void {
  const centre: f32 = <f32>(PATCH - 1) / 2;
  const mostX: f32 = <f32>width - <f32>1.001;
  const mostY: f32 = <f32>height - <f32>1.001;
  const stride = 4 * width;
  let to = samples;
  for (let v = 0; v < PATCH; v++) {
    const down: f32 = <f32>v - centre;
    let px: f32 = x - centre * ux - down * uy;
    let py: f32 = y - centre * uy + down * ux;
    for (let u = 0; u < PATCH; u++, to += 4) {
      const qx = max<f32>(0, min<f32>(px, mostX));
      const qy = max<f32>(0, min<f32>(py, mostY));
      const ix = <i32>qx;
      const iy = <i32>qy;
      const fx = qx - <f32>ix;
      const fy = qy - <f32>iy;
      const at = image + 4 * (iy * width + ix);
      const top = load<f32>(at) + fx * (load<f32>(at, 4) - load<f32>(at));
      const next = at + stride;
      const bottom = load<f32>(next) + fx * (load<f32>(next, 4) - load<f32>(next));
      store<f32>(to, top + fy * (bottom - top));
      px += ux;
      py += uy;
    }
  }
}

/** Splits each gradient into the two of eight directions it lies between; the parts are its oblique coordinates. */
function fillHistogram(feeds: usize): void {
  memory.fill(histogram, 0, CELLS * DIRECTIONS * 4);
  let feed = feeds;
  for (let y = 1; y <= INNER; y++) {
    for (let x = 1; x <= INNER; x++, feed += 32) {
      const at = samples + 4 * (y * PATCH + x);
      const gx = load<f32>(at + 4) - load<f32>(at - 4);
      const gy = load<f32>(at + 4 * PATCH) - load<f32>(at - 4 * PATCH);
      const ax = abs(gx);
      const ay = abs(gy);
      const diagonal: f32 = <f32>Math.SQRT2 * min(ax, ay);
      const straight: f32 = abs(ax - ay);
      const straightBin = 4 * (ax < ay ? (gy < 0 ? 6 : 2) : gx < 0 ? 4 : 0);
      const diagonalBin = 4 * (gx < 0 ? (gy < 0 ? 5 : 3) : gy < 0 ? 7 : 1);
      for (let c = 0; c < 32; c += 8) {
        const cell = histogram + load<i32>(feed + c);
        const weight = load<f32>(feed + c, 4);
        const a = cell + straightBin;
        const b = cell + diagonalBin;
        store<f32>(a, load<f32>(a) + weight * straight);
        store<f32>(b, load<f32>(b) + weight * diagonal);
      }
    }
  }
}

/**
 * Writes the 256 bits of one blob.
 *
 * @param ux, uy one sample along the patch's rows, px of `image`
 * @param feeds four pairs a sample of the inner 16 x 16: byte offset of a cell in the histogram (i32), weight (f32)
 * @param neighbours 16 i32: byte offset of the cell that each cell is compared with
 * @param bright the highest bit of the last word
 * @param out eight words
 */
export function describe(
  image: usize,
  width: i32,
  height: i32,
  x: f32,
  y: f32,
  ux: f32,
  uy: f32,
  feeds: usize,
  neighbours: usize,
  bright: i32,
  out: usize,
): void {
  samplePatch(image, width, height, x, y, ux, uy);
  fillHistogram(feeds);
  for (let group = 0; group < 4; group++) {
    let turns: u32 = 0;
    let cells: u32 = 0;
    for (let cell = 4 * group; cell < 4 * group + 4; cell++) {
      const own = histogram + 4 * DIRECTIONS * cell;
      const other = histogram + load<i32>(neighbours + 4 * cell);
      for (let d = 0; d < DIRECTIONS; d++) {
        const value = load<f32>(own + 4 * d);
        turns = (turns << 1) | <u32>(value > load<f32>(own + 4 * ((d + 1) & 7)));
        cells = (cells << 1) | <u32>(value > load<f32>(other + 4 * d));
      }
    }
    store<u32>(out + 4 * group, turns);
    if (group === 3) cells = bright ? cells | 0x80000000 : cells & 0x7fffffff;
    store<u32>(out + 16 + 4 * group, cells);
  }
}
