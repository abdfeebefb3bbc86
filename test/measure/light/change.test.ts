import { describe, expect, it } from "vitest";
import { largestStep, stepAt } from "#goodgate/measure/light/change.js";

const level = (count: number, value: number): number[] => new Array<number>(count).fill(value);

describe("the largest step in time", () => {
  it("is found at its place and at its size", () => {
    expect(largestStep([...level(9, 0.1), ...level(7, -0.9)])).toEqual({ before: 8, after: 9, stops: -1 });
  });

  it("is not one photo that is off, nor two", () => {
    const values = level(14, 0);
    values[6] = 2;
    values[7] = 2;
    expect(largestStep(values)!.stops).toBe(0);
  });

  it("is found among photos without a value", () => {
    const values: (number | undefined)[] = [...level(6, 0), ...level(6, 0.7)];
    values[5] = undefined;
    values[7] = undefined;
    expect(largestStep(values)).toEqual({ before: 4, after: 6, stops: 0.7 });
  });

  it("needs three photos on either side", () => {
    expect(largestStep([0, 0, 0, 1, 1])).toBeUndefined();
    expect(largestStep([0, 0, 0, 1, 1, 1])).toEqual({ before: 2, after: 3, stops: 1 });
  });

  it("is nearly nothing in a slow drift", () => {
    const drift = Array.from({ length: 30 }, (_, i) => 0.02 * i);
    expect(Math.abs(largestStep(drift)!.stops)).toBeLessThan(0.15);
  });
});

describe("the step of another value at the same place", () => {
  it("is the medians' difference, or unknown", () => {
    const step = { before: 2, after: 3, stops: 1 };
    expect(stepAt([0, 0, 0, 0.4, 0.4, 0.4], step)).toBeCloseTo(0.4, 12);
    expect(stepAt([0, undefined, 0, 0.4, 0.4, 0.4], step)).toBeUndefined();
  });
});
