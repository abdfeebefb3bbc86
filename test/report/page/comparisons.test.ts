import { expect, test } from "vitest";
import { comparisonsOf, cutsOf, nearestGood } from "#goodgate/report/page/comparisons.js";
import { jugReport } from "../../support/jug-report.js";

const report = jugReport();
const verdictOf = (file: string) => report.judgement.photoVerdicts.get(file);
const spotted = {
  ...report,
  facts: {
    ...report.facts,
    pairs: report.facts.pairs.map((pair) => ({ ...pair, spot: [0.25, 0.5, 0.75, 0.4] as const })),
  },
};

test("each photo that is not good stands beside a good one that shares most with it, at the spot both show", () => {
  const comparisons = comparisonsOf(spotted);
  expect(comparisons.length).toBeGreaterThan(3);
  for (const { file, good, ownCut, goodCut } of comparisons) {
    expect(verdictOf(file)).not.toBe("pass");
    expect(verdictOf(good)).toBe("pass");
    const pair = report.facts.pairs.find(
      ({ a, b }) => [a, b].toSorted().join() === [file, good].toSorted().join(),
    )!;
    expect([ownCut.x, goodCut.x]).toEqual(pair.a === file ? [0.25, 0.75] : [0.75, 0.25]);
  }
});

test("every piece is cut once, and reports without spots ask for none", () => {
  const comparisons = comparisonsOf(spotted);
  const cuts = [...cutsOf(comparisons).values()].flat();
  expect(cuts).toHaveLength(2 * comparisons.length);
  expect(comparisonsOf(report)).toEqual([]);
});

test("the nearest good photo is the one with the smallest angle on the sphere", () => {
  const { cameras } = report.judgement.around.placed[0]!;
  const bad = cameras.find(({ file }) => verdictOf(file) !== "pass")!;
  const nearest = nearestGood(report, bad.file)!;
  expect(verdictOf(nearest.file)).toBe("pass");
  const vector = ({ azimuthDeg, elevationDeg }: (typeof cameras)[number]) => {
    const [a, e] = [azimuthDeg, elevationDeg].map((deg) => (deg * Math.PI) / 180) as [number, number];
    return [Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a), Math.sin(e)];
  };
  const cosine = (other: (typeof cameras)[number]) =>
    vector(bad).reduce((sum, v, k) => sum + v * vector(other)[k]!, 0);
  const best = Math.max(
    ...cameras.filter(({ file }) => file !== bad.file && verdictOf(file) === "pass").map(cosine),
  );
  expect(Math.cos((nearest.awayDeg * Math.PI) / 180)).toBeCloseTo(best, 6);
});
