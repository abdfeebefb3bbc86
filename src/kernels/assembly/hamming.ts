/** Distances between all 256-bit descriptors of two photos, 16 at a time. */

/**
 * Lays descriptors out in blocks of 16: byte p of all 16, then byte p + 1.
 *
 * @param words descriptors of 32 bytes
 * @param out 512 bytes a block; what is missing of the last block stays as it is
 */
export function interleave(words: usize, count: i32, out: usize): void {
  for (let k = 0; k < count; k++) {
    const from = words + 32 * k;
    const to = out + 512 * (k >> 4) + (k & 15);
    for (let p = 0; p < 32; p++) store<u8>(to + 16 * p, load<u8>(from + p));
  }
}

/** Differing bits of one descriptor and each of a block; 256 would be 0, so one bit must be known to agree. */
function distances(one: usize, block: usize): v128 {
  let a = i8x16.splat(0);
  let b = i8x16.splat(0);
  for (let p = 0; p < 32; p += 4) {
    const at = block + 16 * p;
    a = i8x16.add(a, i8x16.popcnt(v128.xor(v128.load_splat<u8>(one + p), v128.load(at))));
    b = i8x16.add(b, i8x16.popcnt(v128.xor(v128.load_splat<u8>(one + p + 1), v128.load(at, 16))));
    a = i8x16.add(a, i8x16.popcnt(v128.xor(v128.load_splat<u8>(one + p + 2), v128.load(at, 32))));
    b = i8x16.add(b, i8x16.popcnt(v128.xor(v128.load_splat<u8>(one + p + 3), v128.load(at, 48))));
  }
  return i8x16.add(a, b);
}

const found = memory.data(16);

/**
 * Best, its distance and the second distance of every row and column.
 *
 * @param rows countA descriptors of 32 bytes
 * @param blocks countB descriptors as {@link interleave} lays them out
 * @param rowBest countA of i32, rowNear and rowNext countA of u8
 * @param columnBest countB of i32 (room for whole blocks), columnNear and columnNext of u8, all bytes 255
 */
export function nearest(
  rows: usize,
  countA: i32,
  blocks: usize,
  countB: i32,
  rowBest: usize,
  rowNear: usize,
  rowNext: usize,
  columnBest: usize,
  columnNear: usize,
  columnNext: usize,
): void {
  for (let i = 0; i < countA; i++) {
    const one = rows + 32 * i;
    let best = -1;
    let near: u32 = 255;
    let next: u32 = 255;
    for (let j = 0; j < countB; j += 16) {
      const d = distances(one, blocks + 32 * j);
      const forRow = i8x16.lt_u(d, i8x16.splat(<i8>next));
      const forColumn = i8x16.lt_u(d, v128.load(columnNext + j));
      if (!v128.any_true(v128.or(forRow, forColumn))) continue;
      const inside = countB - j >= 16 ? 0xffff : (1 << (countB - j)) - 1;
      v128.store(found, d);
      let lanes = i8x16.bitmask(forRow) & inside;
      while (lanes) {
        const lane = ctz(lanes);
        lanes &= lanes - 1;
        const bits: u32 = load<u8>(found + lane);
        if (bits < near) {
          next = near;
          near = bits;
          best = j + lane;
        } else if (bits < next) next = bits;
      }
      lanes = i8x16.bitmask(forColumn) & inside;
      while (lanes) {
        const lane = ctz(lanes);
        lanes &= lanes - 1;
        const bits: u32 = load<u8>(found + lane);
        const at = j + lane;
        const nearBits: u32 = load<u8>(columnNear + at);
        if (bits < nearBits) {
          store<u8>(columnNext + at, <u8>nearBits);
          store<u8>(columnNear + at, <u8>bits);
          store<i32>(columnBest + 4 * at, i);
        } else store<u8>(columnNext + at, <u8>bits);
      }
    }
    store<i32>(rowBest + 4 * i, best);
    store<u8>(rowNear + i, <u8>near);
    store<u8>(rowNext + i, <u8>next);
  }
}
