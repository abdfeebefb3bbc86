import type { Features } from "../../types.js";
import { measureDrift } from "../pair/drift.js";
import { type Difference, solveOffsets } from "../set/solve.js";
import { keypointShares, OFF_SUBJECT, ON_SUBJECT } from "./cover.js";
import type { SubjectRegion } from "./region.js";

/** One photo against the others on the surface they share, for the subject and for what is around it. */
export interface SubjectOffsets {
  /** log2 of fine band energy, exposure taken out; undefined where too few matches tell it. */
  readonly detailOffsetStops?: number;
  readonly backgroundDetailOffsetStops?: number;
  /** log2 of linear luminance. */
  readonly exposureOffsetStops?: number;
}

/** Residuals at which a difference starts to lose its say: as for the whole frame (measure/set/solved.ts). */
const DETAIL_SCALE_STOPS = 0.25;
const LIGHT_SCALE_STOPS = 0.1;
const ENOUGH_MATCHES = 200;

/** Photo pairs by place, with their confirmed matches. */
export interface OffsetPair {
  readonly i: number;
  readonly j: number;
  readonly inliers: ArrayLike<number>;
  /** Whether the sharpness of the two may be compared; absent: it may. */
  readonly comparable?: boolean;
}

/**
 * Sharpness and brightness of the subject in each photo, from the matches that lie on it in both pictures, solved over
 * all pairs to one value a photo; and the sharpness of the background from the matches that lie off it in both.
 */
export function subjectOffsets(
  featuresOf: (photo: number) => Features,
  regions: readonly SubjectRegion[],
  pairs: readonly OffsetPair[],
): SubjectOffsets[] {
  const sides = regions.map((region, k) => sidesOf(keypointShares(featuresOf(k), region)));
  const detail: Difference[] = [];
  const background: Difference[] = [];
  const exposure: Difference[] = [];
  for (const { i: a, j: b, inliers, comparable = true } of pairs) {
    const on = pick(inliers, sides[a], sides[b], ON);
    const off = pick(inliers, sides[a], sides[b], OFF);
    const [one, other] = [featuresOf(a), featuresOf(b)];
    const subject = measureDrift(one, other, on);
    const around = measureDrift(one, other, off);
    add(exposure, a, b, subject.exposureDriftStops, on.length);
    if (!comparable) continue;
    add(detail, a, b, subject.relativeDetail, on.length);
    add(background, a, b, around.relativeDetail, off.length);
  }
  const count = regions.length;
  const solved = {
    detail: solveOffsets(count, detail, DETAIL_SCALE_STOPS).values,
    background: solveOffsets(count, background, DETAIL_SCALE_STOPS).values,
    exposure: solveOffsets(count, exposure, LIGHT_SCALE_STOPS).values,
  };
  return regions.map((_, k) => ({
    ...whereKnown("detailOffsetStops", solved.detail[k]),
    ...whereKnown("backgroundDetailOffsetStops", solved.background[k]),
    ...whereKnown("exposureOffsetStops", solved.exposure[k]),
  }));
}

/** Where a keypoint lies: on the subject, off it, or too near its edge to say (0). One byte: of all photos they are held. */
const ON = 1;
const OFF = 2;

function sidesOf(shares: Float32Array): Uint8Array {
  const sides = new Uint8Array(shares.length);
  for (let k = 0; k < sides.length; k++)
    sides[k] = shares[k] >= ON_SUBJECT ? ON : shares[k] < OFF_SUBJECT ? OFF : 0;
  return sides;
}

/** The matches that lie on one side in both pictures. */
function pick(inliers: ArrayLike<number>, sidesA: Uint8Array, sidesB: Uint8Array, side: number): Int32Array {
  const kept: number[] = [];
  for (let k = 0; k < inliers.length; k += 2) {
    if (sidesA[inliers[k]] === side && sidesB[inliers[k + 1]] === side) kept.push(inliers[k], inliers[k + 1]);
  }
  return Int32Array.from(kept);
}

function add(to: Difference[], a: number, b: number, value: number | undefined, indexes: number): void {
  if (value !== undefined) to.push({ a, b, value, weight: Math.min(indexes >> 1, ENOUGH_MATCHES) });
}

function whereKnown(name: keyof SubjectOffsets, value: number | undefined): SubjectOffsets {
  return value === undefined ? {} : { [name]: value };
}
