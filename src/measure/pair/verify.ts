import type { Features } from "../../types/photo.js";
import { createRandom, type Random } from "../geometry/random.js";
import { type Agreement, agrees, findAgreement, turnAgrees } from "./agreement.js";
import { evidenceAgainstChance, log10Choose } from "./chance.js";
import { type Correspondences, correspond, turnBetween, zoomBetween } from "./correspondences.js";
import { countOnLines, countOnPlane, inliersOf, searchEpipolar, searchHomography } from "./search.js";

/** What two-view geometry says about the matches of two photos. */
export interface Verification {
  /** Confirmed matches: index in a, index in b, and so on. Empty where the photos are not linked. */
  readonly inliers: Int32Array;
  /**
   * "homography" where one plane (or a turn of the camera) explains all there is to explain, "epipolar" where
   * depth shows, "none" where chance explains the matches as well.
   */
  readonly model: "epipolar" | "homography" | "none";
  /**
   * How far the inliers are beyond chance: -log10 of the number of equally good models expected between
   * unrelated photos. Given for unlinked photos too.
   */
  readonly evidence: number;
  /** Share of the inliers that one plane, or one turn of the camera, explains as well, 0 to 1; 0 where there are none. */
  readonly planeRatio: number;
}

/**
 * Evidence at which two photos count as linked: chance gives one false link in a million pairs at most. Unrelated photos
 * reach 0 at most, photos that overlap by a tenth 66 or more (test/evaluate/link-spread.ts shows both spreads), so the limit
 * stands near the unrelated ones to keep poor but true links.
 */
export const LINK_EVIDENCE = 6;

/** Largest residual of an inlier, as a share of the long edge: 2 px and 3 px of 1200. */
const EPIPOLAR_TOLERANCE = 2 / 1200;
const PLANE_TOLERANCE = 3 / 1200;
/** Wrong pairs tried to learn the chance of a single inlier. */
const WRONG_PAIRS = 4096;
/** Keypoints this near each other (share of the long edge) in both photos are one piece of evidence. */
const SAME_PLACE = 6 / 1200;
/** Further inliers of the epipolar model that chance gives less often than once in 1000 pairs mean depth. */
const DEPTH_EVIDENCE = 3;

/**
 * Confirms matches by two-view geometry without knowing the cameras: homographies and fundamental matrices by
 * random sampling. Cropped, zoomed and turned photos verify too.
 *
 * @param matches index in a, index in b, and so on
 * @param seed same seed, same answer
 */
export function verifyMatches(a: Features, b: Features, matches: Int32Array, seed: number): Verification {
  const found = correspond(a, b, matches);
  const agreement = findAgreement(found);
  if (agreement === undefined || found.count < 8)
    return { inliers: new Int32Array(0), model: "none", evidence: 0, planeRatio: 0 };
  const random = createRandom(seed);
  const pool = agreeing(found, agreement);
  const plane = searchHomography(found, pool, 2 * PLANE_TOLERANCE, random);
  const epipolar = searchEpipolar(found, pool, 2 * EPIPOLAR_TOLERANCE, random, plane);

  const wrong = agreeingWrongPairs(a, b, matches, agreement, random);
  const onPlane = plane === undefined ? [] : inliersOf(plane, 2 * PLANE_TOLERANCE);
  const onLines = epipolar === undefined ? [] : inliersOf(epipolar, 2 * EPIPOLAR_TOLERANCE);
  const planeChance = chanceOf(plane && countOnPlane(plane.matrix, wrong, 2 * PLANE_TOLERANCE));
  const lineChance = chanceOf(epipolar && countOnLines(epipolar.matrix, wrong, 2 * EPIPOLAR_TOLERANCE));
  // A wrong match may lie on its line by chance, but seldom with the right direction and scale too.
  const inAgreement = new Set(pool);
  const places = distinctPlaces(found, range(found.count));
  const support = (inliers: readonly number[]) =>
    distinctPlaces(
      found,
      inliers.filter((i) => inAgreement.has(i)),
    );
  const planeEvidence = evidenceAgainstChance(places, support(onPlane), 4, 1, planeChance);
  const lineEvidence = evidenceAgainstChance(places, support(onLines), 7, 3, lineChance);
  const evidence = Math.max(planeEvidence, lineEvidence);
  if (evidence < LINK_EVIDENCE) return { inliers: new Int32Array(0), model: "none", evidence, planeRatio: 0 };

  const inPlane = new Set(onPlane);
  const beside = found.count - onPlane.length;
  const beyond = onLines.filter((i) => !inPlane.has(i) && inAgreement.has(i)).length;
  const depth = depthEvidence(beside, beyond, lineChance);
  const hasDepth = lineEvidence >= LINK_EVIDENCE && depth >= DEPTH_EVIDENCE;
  const kept = (hasDepth ? onLines : onPlane).filter((i) => inAgreement.has(i));
  const inliers = new Int32Array(2 * kept.length);
  kept.forEach((k, at) => {
    inliers[2 * at] = matches[2 * k];
    inliers[2 * at + 1] = matches[2 * k + 1];
  });
  const planeRatio = kept.length === 0 ? 0 : kept.filter((i) => inPlane.has(i)).length / kept.length;
  return { inliers, model: hasDepth ? "epipolar" : "homography", evidence, planeRatio };
}

function range(count: number): number[] {
  return Array.from({ length: count }, (_, i) => i);
}

function agreeing(matches: Correspondences, agreement: Agreement): Int32Array {
  return Int32Array.from(
    range(matches.count).filter((i) =>
      agrees(matches.turn[i], matches.zoom[i], agreement.turn, agreement.zoom),
    ),
  );
}

/** Of WRONG_PAIRS matched keypoints of a, each with a keypoint of b drawn at random, those that agree. */
function agreeingWrongPairs(
  a: Features,
  b: Features,
  matches: Int32Array,
  agreement: Agreement,
  random: Random,
): Correspondences {
  const pairs: number[] = [];
  for (let k = 0; k < WRONG_PAIRS; k++) {
    const i = matches[2 * random.below(matches.length >> 1)];
    const j = random.below(b.count);
    const turn = turnBetween(a, i, b, j);
    // Most fail by their turn; the zoom takes a logarithm.
    if (!turnAgrees(turn, agreement.turn)) continue;
    if (agrees(turn, zoomBetween(a, i, b, j), agreement.turn, agreement.zoom)) pairs.push(i, j);
  }
  return correspond(a, b, Int32Array.from(pairs));
}

/** Share of wrong pairs that a model would confirm; never 0, since only so many were tried, and 1 where there is no model. */
function chanceOf(hits: number | undefined): number {
  return hits === undefined ? 1 : (hits + 1) / (WRONG_PAIRS + 1);
}

/** Matches that are apart from one another in both photos: the two directions of one corner are no two proofs. */
function distinctPlaces(matches: Correspondences, indexes: readonly number[]): number {
  const cell = 2 * SAME_PLACE;
  const inA = new Set<number>();
  const inB = new Set<number>();
  for (const i of indexes) {
    inA.add(cellOf(matches.a, i, cell));
    inB.add(cellOf(matches.b, i, cell));
  }
  return Math.min(inA.size, inB.size);
}

function cellOf(points: Float64Array, i: number, cell: number): number {
  return Math.round(points[2 * i + 1] / cell) * 4096 + Math.round(points[2 * i] / cell);
}

/**
 * How far the matches beside the plane that lie on epipolar lines are beyond chance: any two of them may have set the
 * epipole, so every pair counts as a try and two hits are spent.
 */
function depthEvidence(beside: number, hits: number, chance: number): number {
  if (hits <= 2) return 0;
  return tailEvidence(beside - 2, hits - 2, chance) - log10Choose(beside, 2);
}

/** -log10 of an upper bound on the chance of `hits` or more among `count` (Hoeffding 1963, theorem 1). */
function tailEvidence(count: number, hits: number, chance: number): number {
  if (count === 0 || hits <= count * chance) return 0;
  const share = hits / count;
  const rest = share < 1 ? (1 - share) * Math.log10((1 - share) / (1 - chance)) : 0;
  return count * (share * Math.log10(share / chance) + rest);
}
