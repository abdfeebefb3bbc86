import { type Address, kernels } from "../../kernels/kernels.js";
import { type Room, withRoom } from "../../kernels/room.js";
import type { Features } from "../../types.js";
import { DESCRIPTOR_WORDS, polarityOf } from "../features/features.js";

/** When two descriptors count as one surface point; see test/evaluate/keypoint-yield.ts for the spread. */
export interface MatchOptions {
  /** Best distance over second best, at most: 1 takes all. */
  readonly ratio: number;
  /** Most differing bits of 256. */
  readonly maxDistance: number;
}

const MATCH_DEFAULTS: MatchOptions = { ratio: 0.88, maxDistance: 90 };

const DESCRIPTOR_BYTES = 4 * DESCRIPTOR_WORDS;
/** Descriptors compared at a time. */
const BLOCK = 16;

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
    const fromA = withPolarity(a, polarity);
    const fromB = withPolarity(b, polarity);
    withRoom((room) => {
      const { rows, columns } = nearestOf(a, fromA, b, fromB, room);
      for (let i = 0; i < fromA.length; i++) {
        const j = rows.best[i];
        if (j < 0 || columns.best[j] !== i) continue;
        const d = rows.near[i];
        if (d > maxDistance || d > ratio * rows.next[i] || d > ratio * columns.next[j]) continue;
        partner[fromA[i]] = fromB[j];
        count++;
      }
    });
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

/** For each descriptor of one side, the nearest of the other (-1 where there is none) and the two least distances. */
interface Nearest {
  readonly best: Int32Array;
  readonly near: Uint8Array;
  /** 255 where there is no second. */
  readonly next: Uint8Array;
}

/** Indexes of the keypoints of one polarity. */
function withPolarity(features: Features, polarity: 0 | 1): Int32Array {
  const indexes = new Int32Array(features.count);
  let count = 0;
  for (let i = 0; i < features.count; i++) if (polarityOf(features, i) === polarity) indexes[count++] = i;
  return indexes.subarray(0, count);
}

/** All distances between descriptors of one polarity, once; views of the room. */
function nearestOf(
  a: Features,
  fromA: Int32Array,
  b: Features,
  fromB: Int32Array,
  room: Room,
): { rows: Nearest; columns: Nearest } {
  const { interleave, nearest } = kernels();
  const wholeBlocks = Math.ceil(fromB.length / BLOCK) * BLOCK;
  const blocks = room.filled(DESCRIPTOR_BYTES * wholeBlocks);
  interleave(packed(b, fromB, room), fromB.length, blocks);
  const rows = nearestRoom(fromA.length, room);
  const columns = nearestRoom(wholeBlocks, room);
  const words = packed(a, fromA, room);
  nearest(
    words,
    fromA.length,
    blocks,
    fromB.length,
    rows.best.byteOffset,
    rows.near.byteOffset,
    rows.next.byteOffset,
    columns.best.byteOffset,
    columns.near.byteOffset,
    columns.next.byteOffset,
  );
  return { rows, columns };
}

function nearestRoom(count: number, room: Room): Nearest {
  return {
    best: room.i32(room.filled(4 * count, 255), count),
    near: room.u8(room.filled(count, 255), count),
    next: room.u8(room.filled(count, 255), count),
  };
}

/** Descriptors one after another. */
function packed({ descriptors }: Features, indexes: Int32Array, room: Room): Address {
  const at = room.take(DESCRIPTOR_BYTES * indexes.length);
  const words = room.u32(at, DESCRIPTOR_WORDS * indexes.length);
  for (let k = 0; k < indexes.length; k++) {
    const from = DESCRIPTOR_WORDS * indexes[k];
    for (let w = 0; w < DESCRIPTOR_WORDS; w++) words[DESCRIPTOR_WORDS * k + w] = descriptors[from + w];
  }
  return at;
}
