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

/** Adding three bits of one weight, in each place: the sum bit. */
function sumBits(a: v128, b: v128, c: v128): v128 {
  return v128.xor(v128.xor(a, b), c);
}

/** The carry bit, of twice the weight. */
function carryBits(a: v128, b: v128, c: v128): v128 {
  return v128.bitselect(c, a, v128.xor(a, b));
}

function twice(a: v128): v128 {
  return i8x16.add(a, a);
}

/** One descriptor's bytes, each 16 times over. */
const spread = memory.data(512);

/**
 * Differing bits of the spread descriptor and each of a block; 256 would be 0, so one bit must be known to agree.
 * Counting bits costs more than adding them: eight bytes at a time are added up bit by bit with carry-save adders, so
 * that 7 counts do for 32 bytes.
 *
 * @see Mula, Kurz and Lemire 2018, Faster Population Counts Using AVX2 Instructions (cited from memory).
 */
function distances(block: usize): v128 {
  let ones = i8x16.splat(0);
  let twos = i8x16.splat(0);
  let fours = i8x16.splat(0);
  let eights = i8x16.splat(0);
  for (let at: usize = 0; at < 512; at += 128) {
    const one = spread + at;
    const other = block + at;
    const x0 = v128.xor(v128.load(one), v128.load(other));
    const x1 = v128.xor(v128.load(one, 16), v128.load(other, 16));
    const x2 = v128.xor(v128.load(one, 32), v128.load(other, 32));
    const x3 = v128.xor(v128.load(one, 48), v128.load(other, 48));
    const x4 = v128.xor(v128.load(one, 64), v128.load(other, 64));
    const x5 = v128.xor(v128.load(one, 80), v128.load(other, 80));
    const x6 = v128.xor(v128.load(one, 96), v128.load(other, 96));
    const x7 = v128.xor(v128.load(one, 112), v128.load(other, 112));
    const twosA = carryBits(ones, x0, x1);
    ones = sumBits(ones, x0, x1);
    const twosB = carryBits(ones, x2, x3);
    ones = sumBits(ones, x2, x3);
    const foursA = carryBits(twos, twosA, twosB);
    twos = sumBits(twos, twosA, twosB);
    const twosC = carryBits(ones, x4, x5);
    ones = sumBits(ones, x4, x5);
    const twosD = carryBits(ones, x6, x7);
    ones = sumBits(ones, x6, x7);
    const foursB = carryBits(twos, twosC, twosD);
    twos = sumBits(twos, twosC, twosD);
    eights = i8x16.add(eights, i8x16.popcnt(carryBits(fours, foursA, foursB)));
    fours = sumBits(fours, foursA, foursB);
  }
  const fromFours = i8x16.add(twice(eights), i8x16.popcnt(fours));
  const fromTwos = i8x16.add(twice(fromFours), i8x16.popcnt(twos));
  return i8x16.add(twice(fromTwos), i8x16.popcnt(ones));
}

const found = memory.data(16);

/**
 * Best, its distance and the second distance of every row and column, among the pairs that are compared.
 *
 * @param rows countA descriptors of 32 bytes
 * @param spans two spans of columns that each row is compared with: four i32 a row, from and behind, from and behind
 * @param blocks countB descriptors as {@link interleave} lays them out
 * @param far distance from which on all are equally far, 255 at most
 * @param rowBest countA of i32, rowNear and rowNext countA of u8
 * @param columnBest countB of i32 (space for whole blocks), columnNear and columnNext of u8, all `far`
 */
export function nearest(
  rows: usize,
  countA: i32,
  blocks: usize,
  spans: usize,
  far: u32,
  rowBest: usize,
  rowNear: usize,
  rowNext: usize,
  columnBest: usize,
  columnNear: usize,
  columnNext: usize,
): void {
  for (let i = 0; i < countA; i++) {
    for (let p = 0; p < 32; p++) v128.store(spread + 16 * p, v128.load_splat<u8>(rows + 32 * i + p));
    let best = -1;
    let near = far;
    let next = far;
    for (let span = spans + 16 * i; span < spans + 16 * (i + 1); span += 8) {
      const from = load<i32>(span);
      const behind = load<i32>(span, 4);
      for (let j = from & ~15; j < behind; j += 16) {
        const d = distances(blocks + 32 * j);
        const forRow = i8x16.lt_u(d, i8x16.splat(<i8>next));
        const forColumn = i8x16.lt_u(d, v128.load(columnNext + j));
        if (!v128.any_true(v128.or(forRow, forColumn))) continue;
        let inside = 0xffff;
        if (j < from) inside &= 0xffff << (from - j);
        if (behind - j < 16) inside &= (1 << (behind - j)) - 1;
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
    }
    store<i32>(rowBest + 4 * i, best);
    store<u8>(rowNear + i, <u8>near);
    store<u8>(rowNext + i, <u8>next);
  }
}
