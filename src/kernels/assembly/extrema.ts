/** Extrema of the difference of Gaussians in position and scale. */

/** The highest of three neighbours in a row, a lane each. */
function highest3(at: usize): v128 {
  return f32x4.pmax(f32x4.pmax(v128.load(at - 4), v128.load(at + 4)), v128.load(at));
}

function lowest3(at: usize): v128 {
  return f32x4.pmin(f32x4.pmin(v128.load(at - 4), v128.load(at + 4)), v128.load(at));
}

function highest9(at: usize, stride: usize): v128 {
  return f32x4.pmax(f32x4.pmax(highest3(at - stride), highest3(at + stride)), highest3(at));
}

function lowest9(at: usize, stride: usize): v128 {
  return f32x4.pmin(f32x4.pmin(lowest3(at - stride), lowest3(at + stride)), lowest3(at));
}

function highest4(a: v128, b: v128, c: v128, d: v128): v128 {
  return f32x4.pmax(f32x4.pmax(a, b), f32x4.pmax(c, d));
}

function lowest4(a: v128, b: v128, c: v128, d: v128): v128 {
  return f32x4.pmin(f32x4.pmin(a, b), f32x4.pmin(c, d));
}

/**
 * Pixels of a row of the middle level beyond +-floor that no neighbour of 26 exceeds.
 *
 * @param low, mid, high levels of f32, `width` a row, with rows above and below row y
 * @param border pixels next to either end that are not searched, at least 1
 * @param found receives indexes in the picture, from left to right, i32
 * @param room indexes that fit
 * @returns how many were found
 */
export function findExtrema(
  low: usize,
  mid: usize,
  high: usize,
  width: i32,
  y: i32,
  border: i32,
  floor: f32,
  found: usize,
  room: i32,
): i32 {
  const stride = <usize>(4 * width);
  const row = <usize>y * stride;
  const most = f32x4.splat(floor);
  const least = f32x4.splat(-floor);
  let count = 0;
  for (let x = border; x < width - border; x += 4) {
    const at = row + 4 * x;
    const here = mid + at;
    const v = v128.load(here);
    // Six neighbours first: few blocks come past them.
    const left = v128.load(here - 4);
    const right = v128.load(here + 4);
    const up = v128.load(here - stride);
    const down = v128.load(here + stride);
    const finer = v128.load(low + at);
    const wider = v128.load(high + at);
    const highest = highest4(f32x4.pmax(left, right), f32x4.pmax(up, down), finer, wider);
    const lowest = lowest4(f32x4.pmin(left, right), f32x4.pmin(up, down), finer, wider);
    let above = v128.and(f32x4.gt(v, most), f32x4.ge(v, highest));
    let below = v128.and(f32x4.lt(v, least), f32x4.le(v, lowest));
    if (!v128.any_true(v128.or(above, below))) continue;
    if (v128.any_true(above)) {
      const around = f32x4.pmax(highest3(here - stride), highest3(here + stride));
      const beyond = f32x4.pmax(highest9(low + at, stride), highest9(high + at, stride));
      above = v128.and(above, f32x4.ge(v, f32x4.pmax(around, beyond)));
    }
    if (v128.any_true(below)) {
      const around = f32x4.pmin(lowest3(here - stride), lowest3(here + stride));
      const beyond = f32x4.pmin(lowest9(low + at, stride), lowest9(high + at, stride));
      below = v128.and(below, f32x4.le(v, f32x4.pmin(around, beyond)));
    }
    let lanes = i32x4.bitmask(v128.or(above, below));
    const inside = width - border - x;
    if (inside < 4) lanes &= (1 << inside) - 1;
    while (lanes && count < room) {
      store<i32>(found + 4 * count, y * width + x + ctz(lanes));
      count++;
      lanes &= lanes - 1;
    }
  }
  return count;
}
