import { type Arena, withArena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
import type { Features } from "../../types/photo.js";
import { DESCRIPTOR_WORDS, polarityOf } from "../features/features.js";
import { findAgreement } from "./agreement.js";
import { correspond } from "./correspondences.js";

/** When two descriptors count as one surface point; see test/evaluate/keypoint-yield.ts for the spread. */
export interface MatchOptions {
  /** Best distance over second best, at most: 1 takes all. */
  readonly ratio: number;
  /** Most differing bits of 256. */
  readonly maxDistance: number;
  /**
   * Compare keypoints of all directions, even where the strongest leave no doubt how the picture turned: part of it may
   * have turned otherwise.
   */
  readonly anyTurn: boolean;
}

const MATCH_DEFAULTS: MatchOptions = { ratio: 0.88, maxDistance: 90, anyTurn: false };

/**
 * The keypoints that tell the turn, the first of a photo: comparing a quarter of two photos' usual 2000 costs a sixteenth
 * of comparing all.
 */
export const STRONGEST = 500;
/**
 * So many of their matches, and this share, have to agree on turn and zoom before other turns are left out. Of unrelated
 * photographs 7 agreed at most (3,354 pairs, see test/evaluate/link-spread.ts); of the 265 pairs that are compared in a
 * rendered set of two rings, 253 have both.
 */
const FEWEST_AGREEING = 20;
const SMALLEST_AGREEING_RATIO = 0.5;

/** Keypoints are sorted into bins of direction: those of about one direction then lie side by side. */
const DIRECTION_BINS = 64;
/** Bins to either side of the agreed turn: all that agree with it (agreement.ts: 36 degrees) and few others. */
const REACH_BINS = 7;

const DESCRIPTOR_BYTES = 4 * DESCRIPTOR_WORDS;
/** Descriptors compared at a time. */
const BLOCK = 16;

/**
 * Matches that are each other's best and clearly better than the second best, seen from either photo. Where the
 * strongest keypoints agree on how the picture turned, only keypoints that turned about so are compared: the verified
 * matches are found among them, in a third of the time. Swapping a and b gives about the same pairs.
 *
 * @returns index in a, index in b, and so on, rising by a; empty where nothing matches
 * @see Lowe 2004, section 7.1, for the ratio
 */
export function matchDescriptors(a: Features, b: Features, options: Partial<MatchOptions> = {}): Int32Array {
  const settings = { ...MATCH_DEFAULTS, ...options };
  return mutualMatches(a, a.count, b, b.count, settings, settings.anyTurn ? undefined : agreedTurn(a, b));
}

/** Bins of direction by which b's keypoints are turned against a's; undefined where the strongest leave doubt. */
function agreedTurn(a: Features, b: Features): number | undefined {
  // With fewer there is nothing to be saved.
  if (Math.min(a.count, b.count) < 2 * STRONGEST) return undefined;
  const matches = correspond(a, b, mutualMatches(a, STRONGEST, b, STRONGEST, MATCH_DEFAULTS, undefined));
  const agreement = findAgreement(matches);
  const fewest = Math.max(FEWEST_AGREEING, SMALLEST_AGREEING_RATIO * matches.count);
  if (agreement === undefined || agreement.votes < fewest) return undefined;
  return Math.round((agreement.turn / (2 * Math.PI)) * DIRECTION_BINS);
}

/** {@link matchDescriptors} among the first keypoints of each, at any turn or within reach of `turnBins`. */
function mutualMatches(
  a: Features,
  countA: number,
  b: Features,
  countB: number,
  { ratio, maxDistance }: MatchOptions,
  turnBins: number | undefined,
): Int32Array {
  // A second descriptor this far or further forbids no match.
  const far = Math.min(255, Math.floor(maxDistance / ratio) + 1);
  const fromA = sortKeypoints(a, countA);
  const fromB = sortKeypoints(b, countB);
  const partner = new Int32Array(countA).fill(-1);
  let count = 0;
  withArena((arena) => {
    const { rows, columns } = nearestOf(a, fromA, b, fromB, turnBins, far, arena);
    for (let i = 0; i < countA; i++) {
      const j = rows.best[i];
      if (j < 0 || columns.best[j] !== i) continue;
      const d = rows.near[i];
      if (d > maxDistance || d > ratio * rows.next[i] || d > ratio * columns.next[j]) continue;
      partner[fromA.indexes[i]] = fromB.indexes[j];
      count++;
    }
  });
  const matches = new Int32Array(2 * count);
  let at = 0;
  for (let i = 0; i < countA; i++) {
    if (partner[i] < 0) continue;
    matches[at++] = i;
    matches[at++] = partner[i];
  }
  return matches;
}

/** Keypoints by polarity, then by bin of direction; those of bin k of polarity p stand from starts[64 p + k] on. */
interface Sorted {
  readonly indexes: Int32Array;
  readonly starts: Int32Array;
}

function sortKeypoints(features: Features, count: number): Sorted {
  const binOf = new Uint8Array(count);
  const starts = new Int32Array(2 * DIRECTION_BINS + 1);
  for (let i = 0; i < count; i++) {
    const direction = wrapBin(Math.floor((features.angle[i] / (2 * Math.PI)) * DIRECTION_BINS));
    binOf[i] = DIRECTION_BINS * polarityOf(features, i) + direction;
    starts[binOf[i] + 1]++;
  }
  for (let k = 0; k < 2 * DIRECTION_BINS; k++) starts[k + 1] += starts[k];
  const next = starts.slice();
  const indexes = new Int32Array(count);
  for (let i = 0; i < count; i++) indexes[next[binOf[i]]++] = i;
  return { indexes, starts };
}

function wrapBin(bin: number): number {
  return ((bin % DIRECTION_BINS) + DIRECTION_BINS) % DIRECTION_BINS;
}

/** For each descriptor of one side, the nearest of the other (-1 where all are far) and the two least distances. */
interface Nearest {
  readonly best: Int32Array;
  readonly near: Uint8Array;
  readonly next: Uint8Array;
}

/** Distances between descriptors of one polarity, each once; views of the arena. */
function nearestOf(
  a: Features,
  fromA: Sorted,
  b: Features,
  fromB: Sorted,
  turnBins: number | undefined,
  far: number,
  arena: Arena,
): { rows: Nearest; columns: Nearest } {
  const { interleave, nearest } = kernels();
  const [countA, countB] = [fromA.indexes.length, fromB.indexes.length];
  const wholeBlocks = Math.ceil(countB / BLOCK) * BLOCK;
  const blocks = arena.filled(DESCRIPTOR_BYTES * wholeBlocks);
  interleave(packed(b, fromB.indexes, arena), countB, blocks);
  const rows = nearestIn(countA, far, arena);
  const columns = nearestIn(wholeBlocks, far, arena);
  nearest(
    packed(a, fromA.indexes, arena),
    countA,
    blocks,
    spansOf(fromA, fromB, turnBins, arena),
    far,
    rows.best.byteOffset,
    rows.near.byteOffset,
    rows.next.byteOffset,
    columns.best.byteOffset,
    columns.near.byteOffset,
    columns.next.byteOffset,
  );
  return { rows, columns };
}

/** For each row the columns it is compared with: two spans, from and behind, since directions close to a circle. */
function spansOf(rows: Sorted, columns: Sorted, turnBins: number | undefined, arena: Arena): Address {
  const count = rows.indexes.length;
  const at = arena.take(16 * count);
  const spans = arena.i32(at, 4 * count);
  for (let bin = 0; bin < 2 * DIRECTION_BINS; bin++) {
    const polarity = bin < DIRECTION_BINS ? 0 : DIRECTION_BINS;
    const first = turnBins === undefined ? 0 : wrapBin(bin + turnBins - REACH_BINS);
    const behind = turnBins === undefined ? DIRECTION_BINS : first + 2 * REACH_BINS + 1;
    const from = columns.starts[polarity + first];
    const until = columns.starts[polarity + Math.min(behind, DIRECTION_BINS)];
    const wrappedFrom = columns.starts[polarity];
    const wrappedUntil = columns.starts[polarity + Math.max(behind - DIRECTION_BINS, 0)];
    for (let i = rows.starts[bin]; i < rows.starts[bin + 1]; i++) {
      spans[4 * i] = from;
      spans[4 * i + 1] = until;
      spans[4 * i + 2] = wrappedFrom;
      spans[4 * i + 3] = wrappedUntil;
    }
  }
  return at;
}

function nearestIn(count: number, far: number, arena: Arena): Nearest {
  return {
    best: arena.i32(arena.filled(4 * count, 255), count),
    near: arena.u8(arena.filled(count, far), count),
    next: arena.u8(arena.filled(count, far), count),
  };
}

/** Descriptors one after another. */
function packed({ descriptors }: Features, indexes: Int32Array, arena: Arena): Address {
  const at = arena.take(DESCRIPTOR_BYTES * indexes.length);
  const words = arena.u32(at, DESCRIPTOR_WORDS * indexes.length);
  for (let k = 0; k < indexes.length; k++) {
    const from = DESCRIPTOR_WORDS * indexes[k];
    for (let w = 0; w < DESCRIPTOR_WORDS; w++) words[DESCRIPTOR_WORDS * k + w] = descriptors[from + w];
  }
  return at;
}
