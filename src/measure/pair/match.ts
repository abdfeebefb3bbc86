import type { Features } from "../../types.js";
import { DESCRIPTOR_WORDS, polarityOf } from "../features/features.js";

/** When two descriptors count as one surface point; see test/evaluate/keypoint-yield.ts for the spread. */
export interface MatchOptions {
  /** Best distance over second best, at most: 1 takes all. */
  readonly ratio: number;
  /** Most differing bits of 256. */
  readonly maxDistance: number;
}

export const MATCH_DEFAULTS: MatchOptions = { ratio: 0.88, maxDistance: 90 };

/** Differing bits of two 256-bit descriptors, 0 to 256. */
export function hammingDistance(a: Uint32Array, i: number, b: Uint32Array, j: number): number {
  let bits = 0;
  for (let w = 0; w < DESCRIPTOR_WORDS; w++) {
    let v = a[i * DESCRIPTOR_WORDS + w] ^ b[j * DESCRIPTOR_WORDS + w];
    v -= (v >>> 1) & 0x55555555;
    v = (v & 0x33333333) + ((v >>> 2) & 0x33333333);
    bits += Math.imul((v + (v >>> 4)) & 0x0f0f0f0f, 0x01010101) >>> 24;
  }
  return bits;
}

/**
 * Matches that are each other's best and clearly better than the second best, seen from either photo. Swapping a
 * and b gives the same pairs.
 *
 * @returns index in a, index in b, and so on, rising by a; empty where nothing matches
 * @see Lowe 2004, section 7.1, for the ratio
 */
export function matchDescriptors(a: Features, b: Features, options: Partial<MatchOptions> = {}): Int32Array {
  const { ratio, maxDistance } = { ...MATCH_DEFAULTS, ...options };
  const partner = new Int32Array(a.count).fill(-1);
  let count = 0;
  for (const polarity of [0, 1] as const) {
    const fromA = gather(a, polarity);
    const fromB = gather(b, polarity);
    const rows = nearest(fromA.indexes.length);
    const columns = nearest(fromB.indexes.length);
    scan(fromA.words, fromB.words, rows, columns);
    for (let i = 0; i < fromA.indexes.length; i++) {
      const j = rows.best[i];
      if (j < 0 || columns.best[j] !== i) continue;
      const d = rows.first[i];
      if (d > maxDistance || d > ratio * rows.second[i] || d > ratio * columns.second[j]) continue;
      partner[fromA.indexes[i]] = fromB.indexes[j];
      count++;
    }
  }
  const matches = new Int32Array(2 * count);
  let at = 0;
  for (let i = 0; i < a.count; i++) {
    if (partner[i] < 0) continue;
    matches[at++] = i;
    matches[at++] = partner[i];
  }
  return matches;
}

interface Nearest {
  readonly best: Int32Array;
  readonly first: Int32Array;
  readonly second: Int32Array;
}

function nearest(count: number): Nearest {
  return {
    best: new Int32Array(count).fill(-1),
    first: new Int32Array(count).fill(256),
    second: new Int32Array(count).fill(256),
  };
}

/** Descriptors of one polarity, packed one after another. */
function gather(features: Features, polarity: 0 | 1): { indexes: Int32Array; words: Int32Array } {
  const indexes = new Int32Array(features.count);
  let count = 0;
  for (let i = 0; i < features.count; i++) if (polarityOf(features, i) === polarity) indexes[count++] = i;
  const words = new Int32Array(count * DESCRIPTOR_WORDS);
  for (let k = 0; k < count; k++) {
    const from = indexes[k] * DESCRIPTOR_WORDS;
    for (let w = 0; w < DESCRIPTOR_WORDS; w++)
      words[k * DESCRIPTOR_WORDS + w] = features.descriptors[from + w];
  }
  return { indexes: indexes.subarray(0, count), words };
}

/** All distances once; keeps best, its distance and the second distance for every row and column. */
function scan(a: Int32Array, b: Int32Array, rows: Nearest, columns: Nearest): void {
  const countA = rows.best.length;
  const countB = columns.best.length;
  const columnBest = columns.best;
  const columnFirst = columns.first;
  const columnSecond = columns.second;
  for (let i = 0; i < countA; i++) {
    const o = i * 8;
    const a0 = a[o];
    const a1 = a[o + 1];
    const a2 = a[o + 2];
    const a3 = a[o + 3];
    const a4 = a[o + 4];
    const a5 = a[o + 5];
    const a6 = a[o + 6];
    const a7 = a[o + 7];
    let best = -1;
    let first = 256;
    let second = 256;
    for (let j = 0, p = 0; j < countB; j++, p += 8) {
      const d =
        countBits(a0 ^ b[p], a1 ^ b[p + 1], a2 ^ b[p + 2], a3 ^ b[p + 3]) +
        countBits(a4 ^ b[p + 4], a5 ^ b[p + 5], a6 ^ b[p + 6], a7 ^ b[p + 7]);
      if (d < second) {
        if (d < first) {
          second = first;
          first = d;
          best = j;
        } else second = d;
      }
      if (d < columnSecond[j]) {
        if (d < columnFirst[j]) {
          columnSecond[j] = columnFirst[j];
          columnFirst[j] = d;
          columnBest[j] = i;
        } else columnSecond[j] = d;
      }
    }
    rows.best[i] = best;
    rows.first[i] = first;
    rows.second[i] = second;
  }
}

/** Set bits of four words, added side by side in 2, 4 and 8 bits. */
function countBits(a: number, b: number, c: number, d: number): number {
  a -= (a >>> 1) & 0x55555555;
  b -= (b >>> 1) & 0x55555555;
  c -= (c >>> 1) & 0x55555555;
  d -= (d >>> 1) & 0x55555555;
  a = (a & 0x33333333) + ((a >>> 2) & 0x33333333) + (b & 0x33333333) + ((b >>> 2) & 0x33333333);
  c = (c & 0x33333333) + ((c >>> 2) & 0x33333333) + (d & 0x33333333) + ((d >>> 2) & 0x33333333);
  a = (a & 0x0f0f0f0f) + ((a >>> 4) & 0x0f0f0f0f) + (c & 0x0f0f0f0f) + ((c >>> 4) & 0x0f0f0f0f);
  a += a >>> 16;
  return (a + (a >>> 8)) & 0xff;
}
