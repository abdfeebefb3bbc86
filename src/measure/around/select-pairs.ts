import type { Features } from "../../types.js";
import { createRandom } from "../geometry/random.js";

const DESCRIPTOR_WORDS = 8;
const DESCRIPTOR_BITS = 256;

export interface VoteOptions {
  /** Tables and bits a key: they kept two real sets whole with a fifth of all pairs. */
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

const VOTE_DEFAULTS: VoteOptions = {
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
 * @param features read once, in order: a set of thousands need not be held
 * @returns pairs i < j, ascending, each once: the best partners of every photo, and its neighbours.
 * @see Indyk and Motwani 1998, "Approximate nearest neighbors", STOC (cited from memory).
 */
export function voteForPairs(
  features: Iterable<Pick<Features, "count" | "scale" | "descriptors">>,
  options: Partial<VoteOptions> = {},
): [number, number][] {
  const settings = { ...VOTE_DEFAULTS, ...options };
  const voters = Array.from(features, (one) => votersOf(one, settings.keypoints));
  const count = voters.length;
  const votes = castVotes(voters, settings);
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

/** Symmetric table of votes, count * count, saturating. @param voters descriptors, a photo each */
function castVotes(
  voters: readonly Uint32Array[],
  { tables, bits, largestBucket, seed }: VoteOptions,
): Uint16Array {
  const count = voters.length;
  const sizes = voters.map(({ length }) => length / DESCRIPTOR_WORDS);
  const total = sizes.reduce((sum, size) => sum + size, 0);
  const votes = new Uint16Array(count * count);
  const random = createRandom(seed);
  const keys = new Uint32Array(total);
  const start = new Uint32Array((1 << bits) + 1);
  const photoOf = new Uint32Array(total);
  const sorted = new Uint32Array(total);
  let filled = 0;
  sizes.forEach((size, photo) => {
    photoOf.fill(photo, filled, filled + size);
    filled += size;
  });
  for (let table = 0; table < tables; table++) {
    writeKeys(voters, pickBits(bits, random.below), keys);
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

/** Descriptors of the keypoints largest in scale, one after another. */
function votersOf(
  { count, scale, descriptors }: Pick<Features, "count" | "scale" | "descriptors">,
  most: number,
): Uint32Array {
  const least = count > most ? scale.slice(0, count).sort()[count - most] : 0;
  const chosen: number[] = [];
  for (let i = 0; i < count; i++) if (scale[i] > least) chosen.push(i);
  for (let i = 0; i < count && chosen.length < most; i++) if (scale[i] === least) chosen.push(i);
  const out = new Uint32Array(DESCRIPTOR_WORDS * chosen.length);
  chosen.forEach((which, k) => {
    const from = DESCRIPTOR_WORDS * which;
    for (let w = 0; w < DESCRIPTOR_WORDS; w++) out[DESCRIPTOR_WORDS * k + w] = descriptors[from + w];
  });
  return out;
}

function pickBits(bits: number, below: (limit: number) => number): number[] {
  const picked = new Set<number>();
  while (picked.size < bits) picked.add(below(DESCRIPTOR_BITS));
  return [...picked];
}

function writeKeys(voters: readonly Uint32Array[], picked: readonly number[], keys: Uint32Array): void {
  const words = Uint8Array.from(picked, (bit) => bit >> 5);
  const shifts = Uint8Array.from(picked, (bit) => bit & 31);
  let n = 0;
  for (const descriptors of voters) {
    for (let at = 0; at < descriptors.length; at += DESCRIPTOR_WORDS) {
      let key = 0;
      for (let b = 0; b < words.length; b++) {
        key = (key << 1) | ((descriptors[at + words[b]] >>> shifts[b]) & 1);
      }
      keys[n++] = key;
    }
  }
}
