/** Extrema of the difference of Gaussians in position and scale. */

/** Lanes of `v` that are at least as high as the nine values around `at`, or where `own`, the eight without the middle. */
function atLeastAround(v: v128, at: usize, stride: usize, own: bool): v128 {
  const up = at - stride;
  const down = at + stride;
  let highest = f32x4.max(v128.load(at - 4), v128.load(at + 4));
  if (!own) highest = f32x4.max(highest, v128.load(at));
  highest = f32x4.max(highest, f32x4.max(v128.load(up - 4), f32x4.max(v128.load(up), v128.load(up + 4))));
  highest = f32x4.max(
    highest,
    f32x4.max(v128.load(down - 4), f32x4.max(v128.load(down), v128.load(down + 4))),
  );
  return f32x4.ge(v, highest);
}

function atMostAround(v: v128, at: usize, stride: usize, own: bool): v128 {
  const up = at - stride;
  const down = at + stride;
  let lowest = f32x4.min(v128.load(at - 4), v128.load(at + 4));
  if (!own) lowest = f32x4.min(lowest, v128.load(at));
  lowest = f32x4.min(lowest, f32x4.min(v128.load(up - 4), f32x4.min(v128.load(up), v128.load(up + 4))));
  lowest = f32x4.min(
    lowest,
    f32x4.min(v128.load(down - 4), f32x4.min(v128.load(down), v128.load(down + 4))),
  );
  return f32x4.le(v, lowest);
}

/**
 * Pixels of the middle level beyond +-floor that no neighbour of 26 exceeds.
 *
 * @param low, mid, high levels of width x height, f32
 * @param border pixels next to the edge that are not searched, at least 1
 * @param found receives indexes in scan order, i32
 * @param room indexes that fit
 * @returns how many were found
 */
export function findExtrema(
  low: usize,
  mid: usize,
  high: usize,
  width: i32,
  height: i32,
  border: i32,
  floor: f32,
  found: usize,
  room: i32,
): i32 {
  const stride = <usize>(4 * width);
  const limit = f32x4.splat(floor);
  let count = 0;
  for (let y = border; y < height - border; y++) {
    const row = <usize>y * stride;
    for (let x = border; x < width - border; x += 4) {
      const at = row + 4 * x;
      const v = v128.load(mid + at);
      if (!v128.any_true(f32x4.gt(f32x4.abs(v), limit))) continue;
      let above = f32x4.gt(v, limit);
      let below = f32x4.lt(v, f32x4.neg(limit));
      above = v128.and(above, atLeastAround(v, mid + at, stride, true));
      below = v128.and(below, atMostAround(v, mid + at, stride, true));
      if (!v128.any_true(v128.or(above, below))) continue;
      above = v128.and(above, atLeastAround(v, low + at, stride, false));
      below = v128.and(below, atMostAround(v, low + at, stride, false));
      if (!v128.any_true(v128.or(above, below))) continue;
      above = v128.and(above, atLeastAround(v, high + at, stride, false));
      below = v128.and(below, atMostAround(v, high + at, stride, false));
      let lanes = i32x4.bitmask(v128.or(above, below));
      const left = width - border - x;
      if (left < 4) lanes &= (1 << left) - 1;
      while (lanes && count < room) {
        store<i32>(found + 4 * count, y * width + x + ctz(lanes));
        count++;
        lanes &= lanes - 1;
      }
    }
  }
  return count;
}
