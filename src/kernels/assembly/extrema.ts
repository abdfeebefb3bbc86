/** Extrema of the difference of Gaussians in position and scale. */

/** Four values of the difference of two levels. */
function difference(soft: usize, sharp: usize): v128 {
  return f32x4.sub(v128.load(soft), v128.load(sharp));
}

/** The highest of three neighbours in a row of a difference, a lane each. */
function highest3(soft: usize, sharp: usize): v128 {
  const sides = f32x4.pmax(difference(soft - 4, sharp - 4), difference(soft + 4, sharp + 4));
  return f32x4.pmax(sides, difference(soft, sharp));
}

function lowest3(soft: usize, sharp: usize): v128 {
  const sides = f32x4.pmin(difference(soft - 4, sharp - 4), difference(soft + 4, sharp + 4));
  return f32x4.pmin(sides, difference(soft, sharp));
}

/** The highest of three in the rows above and below. */
function highest6(soft: usize, sharp: usize, stride: usize): v128 {
  return f32x4.pmax(highest3(soft - stride, sharp - stride), highest3(soft + stride, sharp + stride));
}

function lowest6(soft: usize, sharp: usize, stride: usize): v128 {
  return f32x4.pmin(lowest3(soft - stride, sharp - stride), lowest3(soft + stride, sharp + stride));
}

function highest9(soft: usize, sharp: usize, stride: usize): v128 {
  return f32x4.pmax(highest6(soft, sharp, stride), highest3(soft, sharp));
}

function lowest9(soft: usize, sharp: usize, stride: usize): v128 {
  return f32x4.pmin(lowest6(soft, sharp, stride), lowest3(soft, sharp));
}

/**
 * Pixels of a row whose difference of the middle two of four levels lies beyond +-floor and that no neighbour of 26 in
 * the three differences exceeds. The differences are taken here: to keep them would take as much memory as the levels.
 *
 * @param a, b, c, d levels from sharp to soft, f32, `width` a row, with rows above and below row y
 * @param border pixels next to either end that are not searched, at least 1
 * @param found receives indexes in the picture, from left to right, i32
 * @param capacity indexes that fit
 * @returns how many were found
 */
export function findExtrema(
  a: usize,
  b: usize,
  c: usize,
  d: usize,
  width: i32,
  y: i32,
  border: i32,
  floor: f32,
  found: usize,
  capacity: i32,
): i32 {
  const stride = <usize>(4 * width);
  const most = f32x4.splat(floor);
  const least = f32x4.splat(-floor);
  let count = 0;
  for (let x = border; x < width - border; x += 4) {
    const at = <usize>(4 * (y * width + x));
    const soft = c + at;
    const sharp = b + at;
    const v = difference(soft, sharp);
    // Six neighbours first: few blocks come past them.
    const left = difference(soft - 4, sharp - 4);
    const right = difference(soft + 4, sharp + 4);
    const up = difference(soft - stride, sharp - stride);
    const down = difference(soft + stride, sharp + stride);
    const finer = difference(sharp, a + at);
    const wider = difference(d + at, soft);
    const highest = f32x4.pmax(
      f32x4.pmax(f32x4.pmax(left, right), f32x4.pmax(up, down)),
      f32x4.pmax(finer, wider),
    );
    const lowest = f32x4.pmin(
      f32x4.pmin(f32x4.pmin(left, right), f32x4.pmin(up, down)),
      f32x4.pmin(finer, wider),
    );
    let above = v128.and(f32x4.gt(v, most), f32x4.ge(v, highest));
    let below = v128.and(f32x4.lt(v, least), f32x4.le(v, lowest));
    if (!v128.any_true(v128.or(above, below))) continue;
    if (v128.any_true(above)) {
      const beyond = f32x4.pmax(highest9(sharp, a + at, stride), highest9(d + at, soft, stride));
      above = v128.and(above, f32x4.ge(v, f32x4.pmax(highest6(soft, sharp, stride), beyond)));
    }
    if (v128.any_true(below)) {
      const beyond = f32x4.pmin(lowest9(sharp, a + at, stride), lowest9(d + at, soft, stride));
      below = v128.and(below, f32x4.le(v, f32x4.pmin(lowest6(soft, sharp, stride), beyond)));
    }
    let lanes = i32x4.bitmask(v128.or(above, below));
    const inside = width - border - x;
    if (inside < 4) lanes &= (1 << inside) - 1;
    while (lanes && count < capacity) {
      store<i32>(found + 4 * count, y * width + x + ctz(lanes));
      count++;
      lanes &= lanes - 1;
    }
  }
  return count;
}
