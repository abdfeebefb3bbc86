/** Sums of the 4-neighbour Laplacian and of Immerkaer's noise operator along one row of 8-bit luma. */

/** Eight lanes kept, then eight dropped: the mask of the last lanes of a tile is read from the middle. */
const LANES = memory.data<i16>([-1, -1, -1, -1, -1, -1, -1, -1, 0, 0, 0, 0, 0, 0, 0, 0]);

function eight(from: usize): v128 {
  return v128.load_ext<u8>(from);
}

/** Values on both sides less twice the value. */
function bend(one: v128, here: v128, other: v128): v128 {
  return i16x8.sub(i16x8.add(one, other), i16x8.shl(here, 1));
}

/** The eight values that begin one before the second eight. */
function shiftedLeft(before: v128, here: v128): v128 {
  return v128.shuffle<i16>(before, here, 7, 8, 9, 10, 11, 12, 13, 14);
}

/** The eight values that begin one after the first of the first eight. */
function shiftedRight(here: v128, after: v128): v128 {
  return v128.shuffle<i16>(here, after, 1, 2, 3, 4, 5, 6, 7, 8);
}

function sumOf(v: v128): i32 {
  return (
    i32x4.extract_lane(v, 0) + i32x4.extract_lane(v, 1) + i32x4.extract_lane(v, 2) + i32x4.extract_lane(v, 3)
  );
}

function addTo(at: usize, more: i32): void {
  store<f64>(at, load<f64>(at) + <f64>more);
}

/**
 * Adds one row's sums, a tile at a time. Each row has a pixel to read before its first and after its last, and
 * bytes that do not matter in the seven further on.
 *
 * @param edges tiles + 1 pixel positions, i32; a tile is at most 16 000 px wide
 * @param sums three f64 a tile: the Laplacian [0 1 0; 1 -4 1; 0 1 0], its square, and the size of the operator
 *   [1 -2 1; -2 4 -2; 1 -2 1]
 */
export function laplacianRow(
  above: usize,
  here: usize,
  below: usize,
  edges: usize,
  tiles: i32,
  sums: usize,
): void {
  const ones = i16x8.splat(1);
  for (let tile = 0; tile < tiles; tile++) {
    const end = load<i32>(edges + 4 * (tile + 1));
    let sum = i32x4.splat(0);
    let squares = i32x4.splat(0);
    let noise = i32x4.splat(0);
    const start = load<i32>(edges + 4 * tile);
    // Each eight is read once, and its neighbours put together from the eights beside it.
    let mid = eight(here + start - 8);
    let q = bend(eight(above + start - 8), mid, eight(below + start - 8));
    let nextMid = eight(here + start);
    let nextQ = bend(eight(above + start), nextMid, eight(below + start));
    for (let x = start; x < end; x += 8) {
      const midBefore = mid;
      const qBefore = q;
      mid = nextMid;
      q = nextQ;
      nextMid = eight(here + x + 8);
      nextQ = bend(eight(above + x + 8), nextMid, eight(below + x + 8));
      let laplacian = i16x8.add(q, bend(shiftedLeft(midBefore, mid), mid, shiftedRight(mid, nextMid)));
      let operator = i16x8.abs(bend(shiftedLeft(qBefore, q), q, shiftedRight(q, nextQ)));
      if (end - x < 8) {
        const kept = v128.load(LANES + 2 * (8 - (end - x)));
        laplacian = v128.and(laplacian, kept);
        operator = v128.and(operator, kept);
      }
      sum = i32x4.add(sum, i32x4.dot_i16x8_s(laplacian, ones));
      squares = i32x4.add(squares, i32x4.dot_i16x8_s(laplacian, laplacian));
      noise = i32x4.add(noise, i32x4.dot_i16x8_s(operator, ones));
    }
    const to = sums + 24 * tile;
    addTo(to, sumOf(sum));
    // Four lanes of a wide tile may not fit in one of 31 bits together.
    store<f64>(
      to + 8,
      load<f64>(to + 8) +
        <f64>i32x4.extract_lane(squares, 0) +
        <f64>i32x4.extract_lane(squares, 1) +
        <f64>i32x4.extract_lane(squares, 2) +
        <f64>i32x4.extract_lane(squares, 3),
    );
    addTo(to + 16, sumOf(noise));
  }
}
