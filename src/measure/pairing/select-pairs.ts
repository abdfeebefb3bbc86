import { type Arena, withArena } from "../../kernels/arena.js";
import { kernels } from "../../kernels/kernels.js";
import type { Features } from "../../types/photo.js";
import { DESCRIPTOR_WORDS } from "../features/features.js";
import { createRandom } from "../geometry/random.js";
import { select } from "../statistics.js";

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
  /** Votes counted at a time: of more photos than their root, those for some are counted after those for others. */
  readonly mostVotes: number;
  readonly seed: number;
}

const VOTE_DEFAULTS: VoteOptions = {
  tables: 16,
  bits: 18,
  keypoints: 1000,
  partners: 5,
  neighbours: 3,
  largestBucket: 48,
  // 16 MiB: all at once up to 2,896 photos.
  mostVotes: 2 ** 23,
  seed: 1,
};

/**
 * Which pairs of photos are worth matching, whatever the order of the files: keypoints whose descriptors agree in a
 * random choice of bits vote for their two photos (locality-sensitive hashing). The work grows with the number of
 * keypoints, not with the number of pairs.
 *
 * @param features read once, in order: a set of thousands need not be held
 * @returns pairs i < j, ascending, each once: the best partners of every photo, and its neighbours.
 * @throws RangeError on more than 65,536 photos
 * @see Indyk and Motwani 1998, "Approximate nearest neighbors", STOC (cited from memory).
 */
export function voteForPairs(
  features: Iterable<Pick<Features, "count" | "scale" | "descriptors">>,
  options: Partial<VoteOptions> = {},
): [number, number][] {
  const settings = { ...VOTE_DEFAULTS, ...options };
  const voters = Array.from(features, (one) => votersOf(one, settings.keypoints));
  const count = voters.length;
  // The kernels count photos in 16 bits.
  if (count > 65_536) throw new RangeError(`expected at most 65536 photos, found ${count}`);
  const chosen = new Set<number>();
  const choose = (i: number, j: number) => chosen.add(Math.min(i, j) * count + Math.max(i, j));
  const rows = Math.max(1, Math.floor(settings.mostVotes / count));
  for (let first = 0; first < count; first += rows) {
    const end = Math.min(count, first + rows);
    withArena((arena) => {
      const votes = castVotes(voters, first, end - first, settings, arena);
      for (let i = first; i < end; i++) {
        const row = votes.subarray((i - first) * count, (i - first + 1) * count);
        for (const j of mostVoted(row, settings.partners)) choose(i, j);
      }
    });
  }
  for (let i = 0; i < count; i++) {
    for (let j = i + 1; j <= Math.min(count - 1, i + settings.neighbours); j++) choose(i, j);
  }
  return [...chosen].sort((p, q) => p - q).map((key) => [Math.floor(key / count), key % count]);
}

/** The photos with the most votes, those with any; of equals the first. */
function mostVoted(votes: Uint16Array, most: number): number[] {
  const best: number[] = [];
  for (let j = 0; j < votes.length; j++) {
    if (votes[j] === 0 || (best.length === most && votes[j] <= votes[best[most - 1]])) continue;
    let k = Math.min(best.length, most - 1);
    for (; k > 0 && votes[best[k - 1]] < votes[j]; k--) best[k] = best[k - 1];
    best[k] = j;
  }
  return best;
}

/**
 * Votes of some photos for all, a row each. One table after another, photos are sorted by their keypoints' keys with a
 * counting sort; a photo's descriptors are copied to the kernels, and its keys made, once to count and once to place
 * them, because keys of thousands of photos are much to hold.
 *
 * @param voters descriptors, a photo each
 * @returns rows * voters.length, saturating
 */
function castVotes(
  voters: readonly Uint32Array[],
  first: number,
  rows: number,
  { tables, bits, keypoints, largestBucket, seed }: VoteOptions,
  arena: Arena,
): Uint16Array {
  const kernel = kernels();
  const random = createRandom(seed);
  const total = voters.reduce((sum, { length }) => sum + length / DESCRIPTOR_WORDS, 0);
  const keys = 1 << bits;
  const votes = arena.filled(2 * rows * voters.length);
  const descriptors = arena.take(4 * DESCRIPTOR_WORDS * keypoints);
  const places = arena.take(4 * keys);
  const sorted = arena.take(2 * total);
  const eachPhoto = (take: (count: number, photo: number) => void) =>
    voters.forEach((own, photo) => {
      arena.u32(descriptors, own.length).set(own);
      take(own.length / DESCRIPTOR_WORDS, photo);
    });
  for (let table = 0; table < tables; table++) {
    const picked = arena.copy(pickedBytes(pickBits(bits, random.below)));
    arena.u32(places, keys).fill(0);
    eachPhoto((count) => kernel.countKeys(descriptors, count, picked, places));
    kernel.startKeys(places, keys);
    eachPhoto((count, photo) => kernel.placePhoto(descriptors, count, picked, photo, places, sorted));
    kernel.countVotes(sorted, places, keys, largestBucket, first, rows, voters.length, votes);
  }
  return arena.u16(votes, rows * voters.length);
}

/** Descriptors of the keypoints largest in scale, one after another. */
function votersOf(
  { count, scale, descriptors }: Pick<Features, "count" | "scale" | "descriptors">,
  most: number,
): Uint32Array {
  const least = count > most ? select(new Float64Array(scale.subarray(0, count)), count - most) : 0;
  const out = new Uint32Array(DESCRIPTOR_WORDS * Math.min(count, most));
  let at = 0;
  const copy = (i: number) => {
    const from = DESCRIPTOR_WORDS * i;
    for (let w = 0; w < DESCRIPTOR_WORDS; w++) out[at++] = descriptors[from + w];
  };
  for (let i = 0; i < count; i++) if (scale[i] > least) copy(i);
  for (let i = 0; i < count && at < out.length; i++) if (scale[i] === least) copy(i);
  return out;
}

function pickBits(bits: number, below: (limit: number) => number): number[] {
  const picked = new Set<number>();
  while (picked.size < bits) picked.add(below(DESCRIPTOR_BITS));
  return [...picked];
}

/** Where the kernels find the picked bits: 32 bytes of a descriptor, then the bit in each of these. */
export function pickedBytes(picked: readonly number[]): Uint8Array {
  const out = new Uint8Array(64);
  picked.forEach((bit, k) => {
    out[k] = bit >> 3;
    out[32 + k] = 1 << (bit & 7);
  });
  return out;
}
