import type { AroundCamera } from "../../types/around.js";
import type { PairFacts, SharedSpot } from "../../types/pair.js";
import type { Report } from "../../types/report.js";
import type { Cut } from "./pictures.js";

/** One spot of surface as a photo that has something wrong shows it, and as a good photo does. */
export interface Comparison {
  readonly file: string;
  readonly good: string;
  readonly ownCut: Cut;
  readonly goodCut: Cut;
}

/** Photos that are compared at the most: each takes two pieces at full size, which a page of many would be too large with. */
const MOST_COMPARED = 40;

/** For each photo that is not good as it is, in capture order, the good photo that shares most with it. */
export function comparisonsOf({ facts, judgement }: Report): readonly Comparison[] {
  const isGood = (file: string) => judgement.photoVerdicts.get(file) === "pass";
  const best = new Map<string, PairFacts>();
  const offer = (file: string, good: string, pair: PairFacts) => {
    if (isGood(file) || !isGood(good) || pair.spot === undefined) return;
    if (pair.verifiedMatches > (best.get(file)?.verifiedMatches ?? 0)) best.set(file, pair);
  };
  for (const pair of facts.pairs) {
    offer(pair.a, pair.b, pair);
    offer(pair.b, pair.a, pair);
  }
  return facts.photos
    .flatMap(({ file }) => {
      const pair = best.get(file);
      if (pair?.spot === undefined) return [];
      const [inA, inB] = cutsAt(pair.spot);
      return file === pair.a
        ? [{ file, good: pair.b, ownCut: inA, goodCut: inB }]
        : [{ file, good: pair.a, ownCut: inB, goodCut: inA }];
    })
    .slice(0, MOST_COMPARED);
}

function cutsAt([xInA, yInA, xInB, yInB]: SharedSpot): [Cut, Cut] {
  return [
    { x: xInA, y: yInA },
    { x: xInB, y: yInB },
  ];
}

/** The pieces that are cut out of each photo, in the order they are numbered. */
export function cutsOf(comparisons: readonly Comparison[]): ReadonlyMap<string, readonly Cut[]> {
  const cuts = new Map<string, Cut[]>();
  for (const { file, good, ownCut, goodCut } of comparisons)
    for (const [name, cut] of [
      [file, ownCut],
      [good, goodCut],
    ] as const)
      cuts.set(name, [...(cuts.get(name) ?? []), cut]);
  return cuts;
}

/** The good photo taken from nearest to where one was that is not, and how far away in direction, degrees. */
export function nearestGood(
  { judgement }: Report,
  file: string,
): { readonly file: string; readonly awayDeg: number } | undefined {
  for (const { cameras } of judgement.around.placed) {
    const own = cameras.find((camera) => camera.file === file);
    if (own === undefined) continue;
    const good = cameras
      .filter((camera) => camera.file !== file && judgement.photoVerdicts.get(camera.file) === "pass")
      .map((camera) => ({ file: camera.file, awayDeg: angleBetween(own, camera) }));
    return good.length === 0 ? undefined : good.reduce((a, b) => (b.awayDeg < a.awayDeg ? b : a));
  }
  return undefined;
}

/** Angle between two directions on the sphere, degrees. */
function angleBetween(a: AroundCamera, b: AroundCamera): number {
  const radians = (deg: number) => (deg * Math.PI) / 180;
  const [one, other] = [radians(a.elevationDeg), radians(b.elevationDeg)];
  const turn = radians(b.azimuthDeg - a.azimuthDeg);
  const cosine = Math.sin(one) * Math.sin(other) + Math.cos(one) * Math.cos(other) * Math.cos(turn);
  return (Math.acos(Math.min(1, Math.max(-1, cosine))) * 180) / Math.PI;
}
