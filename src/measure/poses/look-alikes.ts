import type { Intrinsics } from "./intrinsics.js";
import {
  type AroundPair,
  type AroundPhoto,
  isContradicted,
  residualsOf,
  type SolvedSet,
  solveSet,
  type TriedLink,
} from "./solved-set.js";

/** Share of all matches that contradict, from which sides look alike: 0 on four real sets, .058 and more of prints. */
const LOOK_ALIKE_RATIO = 0.015;
/** So many links contradict without the photo that most of them share: one photo alone is a stray, and no side. */
const FEWEST_CONTRADICTIONS = 3;
/** Photos before and after in capture order that show the same side, if they are linked at all. */
const ORDER_REACH = 3;
/** Share of the photos that have to be linked to the next for the order to be that of a walk. */
const WALKED_RATIO = 0.8;

export interface ToldApart {
  readonly set: SolvedSet;
  /** Those that the solution is built on: without links between sides that only look alike. */
  readonly pairs: readonly AroundPair[];
  /** Whether sides of the subject look alike, and nothing tells which is which: then no direction is known. */
  readonly undecided: boolean;
}

/**
 * The same print on two sides of a can links photos of both as well as photos of one side, and folds the ring onto itself:
 * that contradicts fewer links than the truth does, those where the fold is. But a walk takes neighbouring photos one after
 * the other, so what those say settles which side a photo shows.
 *
 * @param set solved from all pairs
 */
export function tellApart(
  photos: readonly AroundPhoto[],
  pairs: readonly AroundPair[],
  cameras: readonly Intrinsics[],
  set: SolvedSet,
): ToldApart {
  if (!looksAlike(set)) return { set, pairs, undecided: false };
  const inOrder = pairs.filter(({ i, j }) => Math.abs(j - i) <= ORDER_REACH);
  const chain = solveSet(photos, inOrder, cameras);
  if (!isWalk(photos.length, chain) || looksAlike(chain)) return { set, pairs, undecided: true };
  const contradicted = new Set(
    residualsOf(photos, pairs, cameras, chain)
      .filter(isContradicted)
      .map(({ i, j }) => `${i} ${j}`),
  );
  const kept = pairs.filter(({ i, j }) => !contradicted.has(`${i} ${j}`));
  const left = solveSet(photos, kept, cameras);
  const lost = left.parts[0].length < set.parts[0].length;
  return lost || looksAlike(left)
    ? { set, pairs, undecided: true }
    : { set: left, pairs: kept, undecided: false };
}

function looksAlike({ tried }: SolvedSet): boolean {
  const contradicted = tried.filter(isContradicted);
  const sum = (links: readonly TriedLink[]) => links.reduce((total, { matches }) => total + matches, 0);
  const ends = contradicted.flatMap(({ i, j }) => [i, j]);
  const most = Math.max(0, ...[...new Set(ends)].map((photo) => ends.filter((end) => end === photo).length));
  return (
    contradicted.length - most >= FEWEST_CONTRADICTIONS && sum(contradicted) > LOOK_ALIKE_RATIO * sum(tried)
  );
}

function isWalk(count: number, { tried }: SolvedSet): boolean {
  const steps = tried.filter(({ i, j }) => Math.abs(j - i) === 1).length;
  return steps >= WALKED_RATIO * (count - 1);
}
