/** Which keypoints of a set share a key, and which photos they vote for: see measure/pairing/select-pairs.ts. */

/** Whether each of 16 picked bits of a descriptor is set. */
function bitsAt(low: v128, high: v128, places: v128, masks: v128): i32 {
  // A swizzle gives 0 for places beyond its 16 bytes; so do those that taking 16 off brings below 0.
  const fromLow = i8x16.swizzle(low, places);
  const fromHigh = i8x16.swizzle(high, i8x16.sub(places, i8x16.splat(16)));
  const bits = v128.and(v128.or(fromLow, fromHigh), masks);
  return i8x16.bitmask(i8x16.ne(bits, i8x16.splat(0)));
}

/**
 * Key of a descriptor: its picked bits.
 *
 * @param picked 64 bytes: for each bit of the key the descriptor's byte, 32 of them, then its bit there; 0 for no bit
 */
function keyOf(descriptor: usize, picked: usize): usize {
  const low = v128.load(descriptor);
  const high = v128.load(descriptor, 16);
  const first = bitsAt(low, high, v128.load(picked), v128.load(picked, 32));
  const second = bitsAt(low, high, v128.load(picked, 16), v128.load(picked, 48));
  return first | (second << 16);
}

/** Counts the descriptors of each key. @param counts one u32 a key, which the counts are added to */
export function countKeys(descriptors: usize, count: i32, picked: usize, counts: usize): void {
  const end = descriptors + 32 * count;
  for (let at = descriptors; at < end; at += 32) {
    const own = counts + 4 * keyOf(at, picked);
    store<u32>(own, load<u32>(own) + 1);
  }
}

/** Turns the counts of keys into where each key's photos begin. */
export function startKeys(counts: usize, keys: i32): void {
  let sum: u32 = 0;
  for (let at = counts; at < counts + 4 * keys; at += 4) {
    const count = load<u32>(at);
    store<u32>(at, sum);
    sum += count;
  }
}

/**
 * Writes a photo's number behind each of its descriptors' keys.
 *
 * @param next one u32 a key: where its next photo goes; moved on
 * @param sorted one u16 a descriptor of the set
 */
export function placePhoto(
  descriptors: usize,
  count: i32,
  picked: usize,
  photo: i32,
  next: usize,
  sorted: usize,
): void {
  const end = descriptors + 32 * count;
  for (let at = descriptors; at < end; at += 32) {
    const own = next + 4 * keyOf(at, picked);
    const to = load<u32>(own);
    store<u16>(sorted + 2 * to, <u16>photo);
    store<u32>(own, to + 1);
  }
}

/**
 * Adds a vote for each two keypoints of different photos that share a key.
 *
 * @param sorted photos by key, u16
 * @param ends one u32 a key: where its photos end
 * @param most a key that more keypoints share counts for nothing
 * @param first, rows the photos whose votes are counted
 * @param votes rows * photos of u16, saturating
 */
export function countVotes(
  sorted: usize,
  ends: usize,
  keys: i32,
  most: i32,
  first: i32,
  rows: i32,
  photos: i32,
  votes: usize,
): void {
  let from = sorted;
  for (let key = 0; key < keys; key++) {
    const end = sorted + 2 * load<u32>(ends + 4 * key);
    if (end - from > 2 && end - from <= 2 * most) {
      for (let p = from; p < end; p += 2) {
        const photo = <i32>load<u16>(p);
        if (photo < first || photo >= first + rows) continue;
        const row = votes + 2 * (photo - first) * photos;
        for (let q = from; q < end; q += 2) {
          const other = <i32>load<u16>(q);
          const at = row + 2 * other;
          const count = load<u16>(at);
          if (other !== photo && count < u16.MAX_VALUE) store<u16>(at, count + 1);
        }
      }
    }
    from = end;
  }
}
