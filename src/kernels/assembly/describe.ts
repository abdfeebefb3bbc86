/** Directions and descriptors of blobs; what they are is told in measure/features/orientation.ts and descriptor.ts. */

const BINS: i32 = 36;
const HALF_TURN = <f32>Math.PI;
const FULL_TURN = <f32>(2 * Math.PI);
/** Both histograms stand between copies of four bins of their other end, so that neighbours need no turning round. */
const AROUND: i32 = 4 * 4;
const raw = memory.data(4 * BINS + 2 * AROUND) + AROUND;
const smooth = memory.data(4 * BINS + 2 * AROUND) + AROUND;

/**
 * Angles of four (x, y) in turns, -0.5 to 0.5, within 2e-6 turns; 0 where both are 0.
 * @see Abramowitz & Stegun 1964, 4.4.49: the arc tangent of 0 to 1 by powers up to the ninth, within 1e-5 radians
 */
function turnsOf(y: v128, x: v128): v128 {
  const ax = f32x4.abs(x);
  const ay = f32x4.abs(y);
  const t = f32x4.div(f32x4.pmin(ax, ay), f32x4.pmax(f32x4.pmax(ax, ay), f32x4.splat(f32.MIN_NORMAL_VALUE)));
  const s = f32x4.mul(t, t);
  let sum = f32x4.splat(0.0208351);
  sum = f32x4.add(f32x4.mul(sum, s), f32x4.splat(-0.085133));
  sum = f32x4.add(f32x4.mul(sum, s), f32x4.splat(0.180141));
  sum = f32x4.add(f32x4.mul(sum, s), f32x4.splat(-0.3302995));
  sum = f32x4.add(f32x4.mul(sum, s), f32x4.splat(0.999866));
  const zero = f32x4.splat(0);
  let turns = f32x4.mul(f32x4.mul(t, sum), f32x4.splat(<f32>1 / FULL_TURN));
  turns = v128.bitselect(f32x4.sub(f32x4.splat(0.25), turns), turns, f32x4.gt(ay, ax));
  turns = v128.bitselect(f32x4.sub(f32x4.splat(0.5), turns), turns, f32x4.lt(x, zero));
  return v128.bitselect(f32x4.neg(turns), turns, f32x4.lt(y, zero));
}

/** One value of each of four pixels, `offset` bytes from them. */
function gather(image: usize, pixels: v128, offset: i32): v128 {
  const from = image + offset;
  let out = v128.load_zero<f32>(from + i32x4.extract_lane(pixels, 0));
  out = v128.load_lane<f32>(from + i32x4.extract_lane(pixels, 1), out, 1);
  out = v128.load_lane<f32>(from + i32x4.extract_lane(pixels, 2), out, 2);
  return v128.load_lane<f32>(from + i32x4.extract_lane(pixels, 3), out, 3);
}

/** Whole numbers nearest to values from 0 to 2^22, as integers: adding 2^23 leaves them in a single's low bits. */
function nearestWhole(values: v128): v128 {
  const at = f32x4.add(values, f32x4.splat(8388608.0));
  return i32x4.sub(at, i32x4.splat(0x4b000000));
}

/** Adds `weight` to bin `low` and its share to the next. */
function vote(low: i32, share: f32, weight: f32): void {
  const one = raw + 4 * low;
  const other = raw + 4 * (low + 1 === BINS ? 0 : low + 1);
  const part = weight * share;
  store<f32>(one, load<f32>(one) + weight - part);
  store<f32>(other, load<f32>(other) + part);
}

/** Writes the copies before and after a histogram. */
function closeCircle(bins: usize): void {
  v128.store(bins - AROUND, v128.load(bins + 4 * BINS - AROUND));
  v128.store(bins + 4 * BINS, v128.load(bins));
}

function smoothed(bin: i32): f32 {
  return load<f32>(smooth + 4 * bin);
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

/** Smooths the histogram by [1 4 6 4 1] / 16 around the circle. */
function smoothBins(): void {
  closeCircle(raw);
  for (let k = raw; k < raw + 4 * BINS; k += 16) {
    const near = f32x4.add(v128.load(k + 4), v128.load(k - 4));
    const far = f32x4.add(v128.load(k + 8), v128.load(k - 8));
    const weighed = f32x4.add(f32x4.mul(f32x4.splat(6), v128.load(k)), f32x4.mul(f32x4.splat(4), near));
    v128.store(smooth + (k - raw), f32x4.mul(f32x4.add(weighed, far), f32x4.splat(0.0625)));
  }
  closeCircle(smooth);
}

/**
 * Dominant gradient directions around a point of a Gaussian level.
 *
 * @param spacing px between samples
 * @param window f32 in blocks of four samples: four steps right of the centre, four down, four weights
 * @param blocks of the window
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
  blocks: i32,
  secondPeak: f32,
  out: usize,
): i32 {
  memory.fill(raw, 0, BINS * 4);
  const end = window + 48 * blocks;
  const step = f32x4.splat(spacing);
  const one = f32x4.splat(1);
  const mostX = f32x4.splat(<f32>(width - 2));
  const mostY = f32x4.splat(<f32>(height - 2));
  for (let block = window; block < end; block += 48) {
    // Samples beyond the border read a pixel inside it, and count nothing.
    const px = f32x4.nearest(f32x4.add(f32x4.splat(x), f32x4.mul(v128.load(block), step)));
    const py = f32x4.nearest(f32x4.add(f32x4.splat(y), f32x4.mul(v128.load(block, 16), step)));
    const qx = f32x4.pmin(f32x4.pmax(px, one), mostX);
    const qy = f32x4.pmin(f32x4.pmax(py, one), mostY);
    const inside = v128.and(f32x4.eq(px, qx), f32x4.eq(py, qy));
    const row = i32x4.mul(nearestWhole(qy), i32x4.splat(width));
    const pixels = i32x4.shl(i32x4.add(row, nearestWhole(qx)), 2);
    const gx = f32x4.sub(gather(image, pixels, 4), gather(image, pixels, -4));
    const gy = f32x4.sub(gather(image, pixels, 4 * width), gather(image, pixels, -4 * width));
    const length = f32x4.sqrt(f32x4.add(f32x4.mul(gx, gx), f32x4.mul(gy, gy)));
    const weight = v128.and(f32x4.mul(v128.load(block, 32), length), inside);
    const bin = f32x4.mul(f32x4.add(turnsOf(gy, gx), f32x4.splat(0.5)), f32x4.splat(<f32>BINS));
    const floor = f32x4.pmin(f32x4.floor(bin), f32x4.splat(<f32>(BINS - 1)));
    const low = nearestWhole(floor);
    const share = f32x4.sub(bin, floor);
    vote(i32x4.extract_lane(low, 0), f32x4.extract_lane(share, 0), f32x4.extract_lane(weight, 0));
    vote(i32x4.extract_lane(low, 1), f32x4.extract_lane(share, 1), f32x4.extract_lane(weight, 1));
    vote(i32x4.extract_lane(low, 2), f32x4.extract_lane(share, 2), f32x4.extract_lane(weight, 2));
    vote(i32x4.extract_lane(low, 3), f32x4.extract_lane(share, 3), f32x4.extract_lane(weight, 3));
  }
  smoothBins();
  let best = -1;
  let second = -1;
  for (let k = 0; k < BINS; k += 4) {
    const at = smooth + 4 * k;
    const v = v128.load(at);
    const isPeak = v128.and(f32x4.ge(v, v128.load(at - 4)), f32x4.gt(v, v128.load(at + 4)));
    let lanes = i32x4.bitmask(v128.and(isPeak, f32x4.gt(v, f32x4.splat(0))));
    for (; lanes; lanes &= lanes - 1) {
      const bin = k + ctz(lanes);
      if (best < 0 || smoothed(bin) > smoothed(best)) {
        second = best;
        best = bin;
      } else if (second < 0 || smoothed(bin) > smoothed(second)) second = bin;
    }
  }
  if (best < 0) return 0;
  store<f32>(out, peakAngle(best));
  if (second < 0 || smoothed(second) < secondPeak * smoothed(best)) return 1;
  store<f32>(out, peakAngle(second), 4);
  return 2;
}

/** Samples along the patch, of which the outer ones only make gradients; rows are padded to whole vectors. */
const PATCH: i32 = 18;
const PATCH_ROW: i32 = 80;
const INNER: i32 = 16;
const samples = memory.data(PATCH * PATCH_ROW);
/** 4 x 4 cells of eight directions, 32 bytes a cell: right, down, left, up, then the four between. */
const CELL_BYTES: i32 = 32;
const histogram = memory.data(16 * CELL_BYTES);
/** A row of gradients, each split into eight directions like a cell. */
const parts = memory.data(INNER * CELL_BYTES);

/** Two neighbouring values of each of two pixels. */
function twoPairs(image: usize, pixels: v128, which: bool): v128 {
  const a = which ? i32x4.extract_lane(pixels, 2) : i32x4.extract_lane(pixels, 0);
  const b = which ? i32x4.extract_lane(pixels, 3) : i32x4.extract_lane(pixels, 1);
  return v128.load_lane<u64>(image + b, v128.load_zero<u64>(image + a), 1);
}

/** Reads a turned patch, bilinear; outside the picture the edge pixel repeats. (ux, uy): one sample along its rows. */
function samplePatch(image: usize, width: i32, height: i32, x: f32, y: f32, ux: f32, uy: f32): void {
  const centre: f32 = <f32>(PATCH - 1) / 2;
  const mostX = f32x4.splat(<f32>width - <f32>1.001);
  const mostY = f32x4.splat(<f32>height - <f32>1.001);
  const zero = f32x4.splat(0);
  const stride = i32x4.splat(width);
  const below = image + 4 * width;
  for (let v = 0; v < PATCH; v++) {
    const down: f32 = <f32>v - centre;
    const startX = f32x4.splat(x - down * uy);
    const startY = f32x4.splat(y + down * ux);
    let right = f32x4.sub(f32x4(0, 1, 2, 3), f32x4.splat(centre));
    for (let to = samples + v * PATCH_ROW, end = to + 4 * PATCH; to < end; to += 16) {
      const px = f32x4.add(startX, f32x4.mul(right, f32x4.splat(ux)));
      const py = f32x4.add(startY, f32x4.mul(right, f32x4.splat(uy)));
      const qx = f32x4.pmin(f32x4.pmax(px, zero), mostX);
      const qy = f32x4.pmin(f32x4.pmax(py, zero), mostY);
      const ix = f32x4.floor(qx);
      const iy = f32x4.floor(qy);
      const fx = f32x4.sub(qx, ix);
      const fy = f32x4.sub(qy, iy);
      const pixels = i32x4.shl(i32x4.add(i32x4.mul(nearestWhole(iy), stride), nearestWhole(ix)), 2);
      const top01 = twoPairs(image, pixels, false);
      const top23 = twoPairs(image, pixels, true);
      const low01 = twoPairs(below, pixels, false);
      const low23 = twoPairs(below, pixels, true);
      const fy01 = v128.shuffle<f32>(fy, fy, 0, 0, 1, 1);
      const fy23 = v128.shuffle<f32>(fy, fy, 2, 2, 3, 3);
      const mid01 = f32x4.add(top01, f32x4.mul(fy01, f32x4.sub(low01, top01)));
      const mid23 = f32x4.add(top23, f32x4.mul(fy23, f32x4.sub(low23, top23)));
      const left = v128.shuffle<f32>(mid01, mid23, 0, 2, 4, 6);
      const beside = v128.shuffle<f32>(mid01, mid23, 1, 3, 5, 7);
      v128.store(to, f32x4.add(left, f32x4.mul(fx, f32x4.sub(beside, left))));
      right = f32x4.add(right, f32x4.splat(4));
    }
  }
}

/**
 * Splits each gradient of a row into the two of eight directions it lies between; the parts are its oblique coordinates:
 * max(0, x - |y|) to the right, sqrt 2 max(0, min(x, y)) between right and down, and so on round.
 */
function splitRow(row: usize): void {
  const zero = f32x4.splat(0);
  const diagonal = f32x4.splat(<f32>Math.SQRT2);
  for (let x = 0; x < INNER; x++) {
    const at = row + 4 * x;
    const gx = load<f32>(at, 4) - load<f32>(at - 4);
    const gy = load<f32>(at + PATCH_ROW) - load<f32>(at - PATCH_ROW);
    const round = f32x4.mul(
      f32x4.replace_lane(f32x4.replace_lane(f32x4.splat(gx), 1, gy), 3, gy),
      f32x4(1, 1, -1, -1),
    );
    const next = v128.shuffle<f32>(round, round, 1, 2, 3, 0);
    const to = parts + CELL_BYTES * x;
    v128.store(to, f32x4.pmax(zero, f32x4.sub(round, f32x4.abs(next))));
    v128.store(to, f32x4.mul(diagonal, f32x4.pmax(zero, f32x4.pmin(round, next))), 16);
  }
}

/** Places along an axis that feed a cell: the four of its own, and two on either side. */
function firstPlace(cell: i32): i32 {
  return max(0, 4 * cell - 2);
}

function endOfPlaces(cell: i32): i32 {
  return min(INNER, 4 * cell + 6);
}

/** Adds the straight directions and those between, weighed, to a cell. */
function addScaled(cell: usize, straight: v128, between: v128, weight: v128): void {
  v128.store(cell, f32x4.add(v128.load(cell), f32x4.mul(straight, weight)));
  v128.store(cell, f32x4.add(v128.load(cell, 16), f32x4.mul(between, weight)), 16);
}

/** Gradients of the patch, weighed along the rows and then across them, into the cells. */
function fillHistogram(weights: usize): void {
  memory.fill(histogram, 0, 16 * CELL_BYTES);
  for (let y = 0; y < INNER; y++) {
    splitRow(samples + (y + 1) * PATCH_ROW + 4);
    for (let column = 0; column < 4; column++) {
      let straight = f32x4.splat(0);
      let between = straight;
      for (let x = firstPlace(column), end = endOfPlaces(column); x < end; x++) {
        const weight = v128.load_splat<f32>(weights + 4 * (INNER * column + x));
        straight = f32x4.add(straight, f32x4.mul(v128.load(parts + CELL_BYTES * x), weight));
        between = f32x4.add(between, f32x4.mul(v128.load(parts + CELL_BYTES * x, 16), weight));
      }
      for (let row = 0; row < 4; row++) {
        if (y < firstPlace(row) || y >= endOfPlaces(row)) continue;
        const weight = v128.load_splat<f32>(weights + 4 * (INNER * row + y));
        addScaled(histogram + CELL_BYTES * (4 * row + column), straight, between, weight);
      }
    }
  }
}

/**
 * Writes the 256 bits of one blob: 8 bits a cell say which of two neighbouring directions is stronger, then 8 bits a
 * cell which of two neighbouring cells is; of either, first the four straight directions, then the four between.
 *
 * @param ux, uy one sample along the patch's rows, px of `image`
 * @param weights of the 16 places along an axis in each of the four cells along it, f32, a cell after the other
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
  weights: usize,
  neighbours: usize,
  bright: i32,
  out: usize,
): void {
  samplePatch(image, width, height, x, y, ux, uy);
  fillHistogram(weights);
  for (let cell = 0; cell < 16; cell++) {
    const own = histogram + CELL_BYTES * cell;
    const other = histogram + load<i32>(neighbours + 4 * cell);
    const straight = v128.load(own);
    const between = v128.load(own, 16);
    const next = v128.shuffle<f32>(straight, straight, 1, 2, 3, 0);
    const turns = i32x4.bitmask(f32x4.gt(straight, between)) | (i32x4.bitmask(f32x4.gt(between, next)) << 4);
    const cells =
      i32x4.bitmask(f32x4.gt(straight, v128.load(other))) |
      (i32x4.bitmask(f32x4.gt(between, v128.load(other, 16))) << 4);
    store<u8>(out + cell, <u8>turns);
    store<u8>(out + 16 + cell, <u8>cells);
  }
  const last = load<u8>(out, 31);
  store<u8>(out, bright ? last | 0x80 : last & 0x7f, 31);
}
