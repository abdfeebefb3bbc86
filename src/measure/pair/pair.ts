import type { PairFacts } from "../../types/pair.js";
import type { Features } from "../../types/photo.js";
import { measureDrift } from "./drift.js";
import { matchDescriptors } from "./match.js";
import { overlapRatio, shiftRatio, supportRatio } from "./overlap.js";
import { verifyMatches } from "./verify.js";

/** Facts of a pair but for its names, and the matches they rest on. */
export interface PairMeasures {
  readonly facts: Omit<PairFacts, "a" | "b">;
  /** Verified matches: index in a, index in b, and so on; empty where the photos are not linked. */
  readonly inliers: Int32Array;
}

/**
 * Matches two photos, verifies the matches and compares the surface they share, b against a. Swapping the photos
 * negates the drifts; the verified matches stay about the same, and overlap becomes that of b in a.
 *
 * @param seed same photos and seed, same answer
 * @param pick takes the matches that are to count of those at any turn, index in a, index in b, and so on; unless it
 * is given, all count
 */
export function measurePair(
  a: Features,
  b: Features,
  seed: number,
  pick?: (a: Features, b: Features, matches: Int32Array) => Int32Array,
): PairMeasures {
  const matches = pick ? pick(a, b, matchDescriptors(a, b, { anyTurn: true })) : matchDescriptors(a, b);
  const { inliers, model, planeRatio } = verifyMatches(a, b, matches, seed);
  const verifiedMatches = inliers.length >> 1;
  const verifiedRatio = matches.length === 0 ? 0 : inliers.length / matches.length;
  if (model === "none") return { facts: { verifiedMatches, verifiedRatio }, inliers };
  const overlap = overlapRatio(a, b, inliers);
  const support = supportRatio(a, inliers);
  const shift = shiftRatio(a, b, inliers);
  const facts = {
    verifiedMatches,
    verifiedRatio,
    planeRatio,
    ...(overlap !== undefined && { overlapRatio: overlap }),
    ...(support !== undefined && { supportRatio: support }),
    ...(shift !== undefined && { shiftRatio: shift }),
    ...measureDrift(a, b, inliers),
  };
  return { facts, inliers };
}
