/** Sums of the 4-neighbour Laplacian and of Immerkaer's noise operator along one row of 8-bit luma. */

/** Eight lanes kept, then eight dropped: the mask of the last lanes of a tile is read from the middle. */
const LANES = memory.data<i16>([-1, -1, -1, -1, -1, -1, -1, -1, 0, 0, 0, 0, 0, 0, 0, 0]);

function eight(from: usize): v128 {
  return v128.load_ext<u8>(from);
}

/** Pixels above and below less twice the pixel. */
function bend(above: v128, here: v128, below: v128): v128 {
  return i16x8.sub(i16x8.add(above, below), i16x8.shl(here, 1));
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
 * Adds one row's sums, a tile at a time. Each row has a pixel to read before its first and after its last.
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
    for (let x = load<i32>(edges + 4 * tile); x < end; x += 8) {
      const left = eight(here + x - 1);
      const mid = eight(here + x);
      const right = eight(here + x + 1);
      const q = bend(eight(above + x), mid, eight(below + x));
      const qLeft = bend(eight(above + x - 1), left, eight(below + x - 1));
      const qRight = bend(eight(above + x + 1), right, eight(below + x + 1));
      let laplacian = i16x8.add(q, bend(left, mid, right));
      let operator = i16x8.abs(bend(qLeft, q, qRight));
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
