import type { Features } from "../../types.js";
import { createRandom } from "../geometry/random.js";

const DESCRIPTOR_WORDS = 8;
const DESCRIPTOR_BITS = 256;

export interface VoteOptions {
  /** Tables and bits a key: the measuring study's setting, which kept two real sets whole with a fifth of all pairs. */
  readonly tables: number;
  readonly bits: number;
  /** Keypoints of a photo that vote, the largest in scale: they are seen from further away and further round. */
  readonly keypoints: number;
  /**
   * Partners a photo gets. Five place the cameras of rendered sets as well as eight do, with neighbours or without, for
   * half of the pairs beyond the neighbours.
   */
  readonly partners: number;
  /** Photos before and after in capture order that are always partners. */
  readonly neighbours: number;
  /** A key shared by more keypoints tells nothing, and keeps the cost linear. */
  readonly largestBucket: number;
  readonly seed: number;
}

export const VOTE_DEFAULTS: VoteOptions = {
  tables: 16,
  bits: 18,
  keypoints: 1000,
  partners: 5,
  neighbours: 3,
  largestBucket: 48,
  seed: 1,
};

/**
 * Which pairs of photos are worth matching, whatever the order of the files: keypoints whose descriptors agree in a
 * random choice of bits vote for their two photos (locality-sensitive hashing). The work grows with the number of
 * keypoints, not with the number of pairs.
 *
 * @returns pairs i < j, ascending, each once: the best partners of every photo, and its neighbours.
 * @see Indyk and Motwani 1998, "Approximate nearest neighbors", STOC (cited from memory).
 */
export function voteForPairs(
  features: readonly Pick<Features, "count" | "scale" | "descriptors">[],
  options: Partial<VoteOptions> = {},
): [number, number][] {
  const settings = { ...VOTE_DEFAULTS, ...options };
  const count = features.length;
  const votes = castVotes(features, settings);
  const chosen = new Set<number>();
  const order = Array.from({ length: count }, (_, i) => i);
  for (let i = 0; i < count; i++) {
    const row = votes.subarray(i * count, (i + 1) * count);
    const best = order.filter((j) => row[j] > 0).sort((p, q) => row[q] - row[p] || p - q);
    for (const j of best.slice(0, settings.partners)) chosen.add(Math.min(i, j) * count + Math.max(i, j));
    for (let j = i + 1; j <= Math.min(count - 1, i + settings.neighbours); j++) chosen.add(i * count + j);
  }
  return [...chosen].sort((p, q) => p - q).map((key) => [Math.floor(key / count), key % count]);
}

/** Symmetric table of votes, count * count, saturating. */
function castVotes(
  features: readonly Pick<Features, "count" | "scale" | "descriptors">[],
  { tables, bits, keypoints, largestBucket, seed }: VoteOptions,
): Uint16Array {
  const count = features.length;
  const chosen = features.map((one) => largest(one, keypoints));
  const total = chosen.reduce((sum, which) => sum + which.length, 0);
  const votes = new Uint16Array(count * count);
  const random = createRandom(seed);
  const keys = new Uint32Array(total);
  const start = new Uint32Array((1 << bits) + 1);
  const photoOf = new Uint32Array(total);
  const sorted = new Uint32Array(total);
  let filled = 0;
  chosen.forEach((which, photo) => {
    photoOf.fill(photo, filled, filled + which.length);
    filled += which.length;
  });
  for (let table = 0; table < tables; table++) {
    writeKeys(features, chosen, pickBits(bits, random.below), keys);
    // Counting sort by key: start[k] ends up as the first place of key k.
    start.fill(0);
    for (let n = 0; n < total; n++) start[keys[n] + 1]++;
    for (let k = 0; k < 1 << bits; k++) start[k + 1] += start[k];
    const next = start.slice();
    for (let n = 0; n < total; n++) sorted[next[keys[n]]++] = photoOf[n];
    for (let k = 0; k < 1 << bits; k++)
      countBucket(sorted, start[k], start[k + 1], largestBucket, votes, count);
  }
  return votes;
}

function countBucket(
  photos: Uint32Array,
  from: number,
  to: number,
  most: number,
  votes: Uint16Array,
  count: number,
): void {
  if (to - from < 2 || to - from > most) return;
  for (let p = from; p < to; p++) {
    for (let q = p + 1; q < to; q++) {
      const i = photos[p];
      const j = photos[q];
      if (i === j || votes[i * count + j] === 65535) continue;
      votes[i * count + j]++;
      votes[j * count + i]++;
    }
  }
}

/** Indexes of the keypoints largest in scale. */
function largest({ count, scale }: Pick<Features, "count" | "scale">, most: number): Uint32Array {
  const order = Uint32Array.from({ length: count }, (_, i) => i);
  if (count <= most) return order;
  return order.sort((p, q) => scale[q] - scale[p] || p - q).slice(0, most);
}

function pickBits(bits: number, below: (limit: number) => number): number[] {
  const picked = new Set<number>();
  while (picked.size < bits) picked.add(below(DESCRIPTOR_BITS));
  return [...picked];
}

function writeKeys(
  features: readonly Pick<Features, "descriptors">[],
  chosen: readonly Uint32Array[],
  picked: readonly number[],
  keys: Uint32Array,
): void {
  const words = picked.map((bit) => bit >> 5);
  const shifts = picked.map((bit) => bit & 31);
  let n = 0;
  features.forEach(({ descriptors }, photo) => {
    for (const keypoint of chosen[photo]) {
      const at = keypoint * DESCRIPTOR_WORDS;
      let key = 0;
      for (let b = 0; b < picked.length; b++)
        key = (key << 1) | ((descriptors[at + words[b]] >>> shifts[b]) & 1);
      keys[n++] = key;
    }
  });
}
