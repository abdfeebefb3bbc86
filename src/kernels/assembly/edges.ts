/** Edges of a picture by direction, strength and width: see measure/photo/edges.ts. */

/** Counters along each axis of the table of edges. */
const STRENGTHS: i32 = 48;
const WIDTHS: i32 = 80;

/** Widths a px: steps of 0.05 px. */
const STEPS_A_PX: f32 = 20;

/** Squared slopes below 4 are not counted; from there on four steps an octave, by exponent and first mantissa bits. */
const FIRST_STRENGTH: i32 = (127 + 2) << 2;

/** Tangents of the borders between directions: 11.25, 33.75, 56.25 and 78.75 degrees. */
const BORDER_1: f32 = 0.19891237;
const BORDER_2: f32 = 0.66817864;
const BORDER_3: f32 = 1.4966058;
const BORDER_4: f32 = 5.0273395;

/** Along x of the gradient over 2 x 2 px, whose first two begin at `upper` and last two at `lower`. */
function slopeX(upper: usize, lower: usize): f32 {
  return (load<f32>(upper, 4) + load<f32>(lower, 4) - load<f32>(upper) - load<f32>(lower)) * 0.5;
}

function slopeY(upper: usize, lower: usize): f32 {
  return (load<f32>(lower) + load<f32>(lower, 4) - load<f32>(upper) - load<f32>(upper, 4)) * 0.5;
}

/** Squared gradients between two rows, over 2 x 2 px each: n results, the last of which reads a pixel beyond the row. */
export function slopeRow(upper: usize, lower: usize, n: i32, out: usize): void {
  const quarter = f32x4.splat(0.25);
  for (let x: usize = 0; x < <usize>(4 * n); x += 16) {
    const a = v128.load(upper + x);
    const b = v128.load(upper + x, 4);
    const c = v128.load(lower + x);
    const d = v128.load(lower + x, 4);
    const down = f32x4.sub(d, a);
    const up = f32x4.sub(b, c);
    // (d - a) + (b - c) is twice the slope along x, (d - a) - (b - c) that along y: their squares add up to this.
    const sum = f32x4.add(f32x4.mul(down, down), f32x4.mul(up, up));
    v128.store(out + x, f32x4.mul(f32x4.add(sum, sum), quarter));
  }
}

/** Which of eight directions the line along (x, y) has: 0 along x, counted towards y, of 22.5 degrees each. */
function directionOf(x: f32, y: f32): i32 {
  const steep = abs(y);
  const flat = abs(x);
  let k = 0;
  if (steep > BORDER_1 * flat) k++;
  if (steep > BORDER_2 * flat) k++;
  if (steep > BORDER_3 * flat) k++;
  if (steep > BORDER_4 * flat) k++;
  return x * y < 0 && k > 0 ? (8 - k) & 7 : k;
}

/**
 * Of each of four pixels the next one in a direction: along the row, down the column or both, to the right or the left, to the
 * lower or the upper.
 */
function neighbours(
  above: usize,
  here: usize,
  below: usize,
  along: v128,
  down: v128,
  right: v128,
  lower: v128,
): v128 {
  const beside = v128.bitselect(v128.load(here, 4), v128.load(here - 4), right);
  const straight = v128.bitselect(v128.load(below), v128.load(above), lower);
  const lowerDiagonal = v128.bitselect(v128.load(below, 4), v128.load(below - 4), right);
  const upperDiagonal = v128.bitselect(v128.load(above, 4), v128.load(above - 4), right);
  const diagonal = v128.bitselect(lowerDiagonal, upperDiagonal, lower);
  return v128.bitselect(v128.bitselect(diagonal, beside, down), straight, along);
}

/**
 * Of four pixels those whose squared gradient is 4 or more and the largest along its own direction: larger than behind, and
 * no smaller than ahead, where the next pixel lies straight or diagonal. A bit each, the first pixel's lowest.
 *
 * @param x bytes from the beginning of the rows, which are those of {@link edgeRow}
 */
function crestsOf(
  above: usize,
  here: usize,
  below: usize,
  softUpper: usize,
  softLower: usize,
  x: usize,
): i32 {
  const slope = v128.load(here + x);
  const steep = f32x4.ge(slope, f32x4.splat(4));
  if (!v128.any_true(steep)) return 0;
  const a = v128.load(softUpper + x);
  const b = v128.load(softUpper + x, 4);
  const c = v128.load(softLower + x);
  const d = v128.load(softLower + x, 4);
  const half = f32x4.splat(0.5);
  const gx = f32x4.mul(f32x4.sub(f32x4.sub(f32x4.add(b, d), a), c), half);
  const gy = f32x4.mul(f32x4.sub(f32x4.sub(f32x4.add(c, d), a), b), half);
  const quarter = f32x4.mul(slope, f32x4.splat(0.25));
  const along = f32x4.ge(f32x4.mul(gx, gx), quarter);
  const down = f32x4.ge(f32x4.mul(gy, gy), quarter);
  const zero = f32x4.splat(0);
  const right = f32x4.gt(gx, zero);
  const lower = f32x4.gt(gy, zero);
  const ahead = neighbours(above + x, here + x, below + x, along, down, right, lower);
  const behind = neighbours(above + x, here + x, below + x, along, down, v128.not(right), v128.not(lower));
  const largest = v128.and(f32x4.ge(slope, ahead), f32x4.gt(slope, behind));
  return i32x4.bitmask(v128.and(v128.and(steep, largest), v128.or(along, down)));
}

/**
 * Counts the edges of one row: places where the soft picture's gradient is largest along its own direction.
 *
 * @param above, here, below squared gradients of the soft picture (see {@link slopeRow}), a row each
 * @param softUpper, softLower the soft picture's rows between which `here` lies
 * @param crisp the row of the crisp picture at the same height; its rows lie `stride` bytes apart, one more above and two
 *   more below are read
 * @param first, end columns looked at; one more on either side is read
 * @param apart variance of the blur between crisp and soft picture, px squared, times the widths' square
 * @param own variance that an ideal edge has in the crisp picture along rows and columns, and what is added to it along
 *   the diagonals: px squared
 * @param counts u32 by direction across the edge (8), strength (48) and width (80)
 */
export function edgeRow(
  above: usize,
  here: usize,
  below: usize,
  softUpper: usize,
  softLower: usize,
  crisp: usize,
  stride: i32,
  first: i32,
  end: i32,
  apart: f32,
  own: f32,
  diagonal: f32,
  unit: f32,
  counts: usize,
): void {
  for (let x4 = first; x4 < end; x4 += 4) {
    let crests = crestsOf(above, here, below, softUpper, softLower, 4 * x4);
    for (; crests !== 0; crests &= crests - 1) {
      const x = x4 + ctz(crests);
      if (x >= end) break;
      const at = <usize>(4 * x);
      const slope = load<f32>(here + at);
      const gx = slopeX(softUpper + at, softLower + at);
      const gy = slopeY(softUpper + at, softLower + at);
      const dx: i32 = gx * gx >= slope * 0.25 ? (gx > 0 ? 1 : -1) : 0;
      const dy: i32 = gy * gy >= slope * 0.25 ? (gy > 0 ? 1 : -1) : 0;
      let most: f32 = 0;
      const step = dy * stride + 4 * dx;
      for (let k = -1; k <= 1; k++) {
        const upper = crisp + at + k * step;
        most = max(most, abs(slopeX(upper, upper + stride) * gx + slopeY(upper, upper + stride) * gy));
      }
      // How much steeper the crisp picture is, squared: that of a step falls with its width as (soft + width) / (crisp + width).
      const ratio = (most * most) / (slope * slope);
      const oblique = (<f32>4 * (gx * gx * gy * gy)) / (slope * slope);
      const variance: f32 = ratio > 1.001 ? apart / (ratio - 1) - own - diagonal * oblique * oblique : 1e6;
      const width = variance > 0 ? sqrt(variance) * unit * STEPS_A_PX : 0;
      const strength = min(STRENGTHS - 1, <i32>(reinterpret<u32>(slope) >> 21) - FIRST_STRENGTH);
      const cell = (directionOf(gx, gy) * STRENGTHS + strength) * WIDTHS + min(WIDTHS - 1, <i32>width);
      store<u32>(counts + 4 * cell, load<u32>(counts + 4 * cell) + 1);
    }
  }
}
