import { describe, expect, it } from "vitest";
import { partOfEach } from "#goodgate/measure/parts.js";
import { type Difference, solveOffsets } from "#goodgate/measure/set/solve.js";
import { median } from "#goodgate/measure/statistics.js";
import { seededNormal } from "../../support/arrays.js";

const chain = (truth: readonly number[], reach: number, noise = () => 0): Difference[] =>
  truth.flatMap((value, a) =>
    Array.from({ length: reach }, (_, k) => a + k + 1)
      .filter((b) => b < truth.length)
      .map((b) => ({ a, b, value: truth[b] - value + noise(), weight: 1 })),
  );

describe("one value a photo from differences", () => {
  it("gives back exact values against their median", () => {
    const truth = [0, 0.5, -0.25, 0, 1, 0, 0.1];
    const { values } = solveOffsets(truth.length, chain(truth, 3), 0.1);
    for (const [i, value] of truth.entries()) expect(values[i]).toBeCloseTo(value - median(truth), 8);
  });

  it("one bad photo does not accuse its neighbours", () => {
    const normal = seededNormal(4);
    const truth = Array.from({ length: 30 }, (_, i) => (i === 12 ? -1.5 : 0));
    const { values } = solveOffsets(
      30,
      chain(truth, 3, () => 0.02 * normal()),
      0.1,
    );
    expect(values[12]).toBeCloseTo(-1.5, 1);
    for (const i of [9, 10, 11, 13, 14, 15]) expect(Math.abs(values[i] ?? Number.NaN)).toBeLessThan(0.06);
  });

  it("one bad difference does not pull its photos", () => {
    const differences = chain(new Array<number>(12).fill(0), 3);
    differences[15] = { ...differences[15], value: 3 };
    for (const value of solveOffsets(12, differences, 0.1).values)
      expect(Math.abs(value!)).toBeLessThan(0.01);
  });

  it("parts that nothing joins are solved each against its own median, and a lone photo has no value", () => {
    const { values, parts } = solveOffsets(
      5,
      [
        { a: 0, b: 1, value: 2, weight: 1 },
        { a: 3, b: 4, value: -1, weight: 1 },
      ],
      0.1,
    );
    expect(values[2]).toBeUndefined();
    expect(values.map((v) => v?.toFixed(6))).toEqual([
      "-1.000000",
      "1.000000",
      undefined,
      "0.500000",
      "-0.500000",
    ]);
    expect([...parts]).toEqual([0, 0, -1, 3, 3]);
  });

  it("a chain of 2,000 photos is solved", () => {
    const truth = Array.from({ length: 2000 }, (_, i) => Math.sin(i / 50));
    const { values } = solveOffsets(2000, chain(truth, 3), 0.1);
    const middle = median(truth);
    expect(Math.max(...values.map((v, i) => Math.abs(v! - truth[i] + middle)))).toBeLessThan(1e-3);
  });

  it("values stay what the differences say, to the last digits, however long it is refined", () => {
    for (let seed = 1; seed <= 30; seed++) {
      const normal = seededNormal(seed);
      const truth = Array.from({ length: 60 }, () => normal());
      const differences = chain(truth, 3).map((d) => ({ ...d, weight: 200 }));
      const { values } = solveOffsets(60, differences, 0.1);
      const middle = median(truth);
      for (const [i, value] of truth.entries()) expect(values[i]).toBeCloseTo(value - middle, 6);
    }
  });

  it("a set without any change is solved as none", () => {
    const { values } = solveOffsets(20, chain(new Array<number>(20).fill(0), 3), 0.1);
    expect(values.every((value) => value === 0)).toBe(true);
  });

  it("joins parts whatever the order of the links", () => {
    expect([
      ...partOfEach(5, [
        { a: 3, b: 4 },
        { a: 1, b: 3 },
      ]),
    ]).toEqual([-1, 1, -1, 1, 1]);
  });
});
