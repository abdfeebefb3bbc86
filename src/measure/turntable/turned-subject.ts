import type { Candidate } from "../parts.js";
import type { StaticMatches } from "./static-matches.js";

/** Pairs asked about the background: enough that a few chance resemblances do not decide, few enough to be quick. */
const MOST_FAR_PAIRS = 24;

/**
 * Pairs that most likely show the subject from far apart, for staticMatches(): a quarter of the set or more apart
 * in capture order, spread over the set. Nearby photos of a walk have nearly still backgrounds too, so they are not asked.
 */
export function farPairs(count: number): [number, number][] {
  const found: [number, number][] = [];
  if (count < 4) return found;
  const asked = Math.min(MOST_FAR_PAIRS, count);
  for (let k = 0; k < asked; k++) {
    const i = Math.floor((k * count) / asked);
    // From a quarter to three quarters of the set away, in changing steps.
    const j = (i + Math.floor(count * (0.25 + (0.5 * ((k * 7) % asked)) / asked))) % count;
    if (i !== j) found.push([Math.min(i, j), Math.max(i, j)]);
  }
  return [...new Map(found.map((pair) => [pair.join(" "), pair])).values()];
}

/** Far pairs asked first; only where any of them sees a background at rest are the others worth asking. */
const FIRST_FAR_PAIRS = 8;

/** {@link farPairs}: those to ask first, spread over the set like the whole list, and the rest. */
export function farPairsInTurn(count: number): [first: Candidate[], rest: Candidate[]] {
  const pairs = farPairs(count).map(([a, b]): Candidate => ({ a, b }));
  const step = Math.max(1, Math.floor(pairs.length / FIRST_FAR_PAIRS));
  return [pairs.filter((_, i) => i % step === 0), pairs.filter((_, i) => i % step !== 0)];
}

/** Share of far pairs that must see a still background: a walk shows one only where two photos are nearly the same. */
const TURNED_SHARE = 0.5;

/**
 * Where this share of the matches stands still, nothing was turned: six photos of one view, moved by a few pixels and
 * with new grain, give .990 to .998.
 */
const ALL_STATIC_SHARE = 0.98;

/**
 * Unless this much of the picture shows something else: a turned subject leaves hardly a match of its own between far
 * pairs, so that before a rich background nearly all matches stand still (.97 to .985 on a rendered set, where .10 to .16 of the
 * picture is changed).
 */
const CHANGED_SHARE = 0.06;

/** Whether the subject was turned in front of a camera at rest; undefined where no pair was asked. */
export function subjectTurned(votes: readonly StaticMatches[], share = TURNED_SHARE): boolean | undefined {
  if (votes.length === 0) return undefined;
  const still = votes.filter((vote) => vote.still);
  const moved = still.filter(
    ({ share: all, changedRatio }) => all < ALL_STATIC_SHARE || changedRatio >= CHANGED_SHARE,
  );
  return still.length >= share * votes.length && moved.length >= share * still.length;
}
