import { describe, expect, it } from "vitest";
import { sampleCount } from "#goodgate/measure/geometry/sampling.js";

describe("samples needed", () => {
  // Hartley and Zisserman 2004, table 4.3: confidence .99, outliers 5, 10, 20, 25, 30, 40, 50 %.
  const OUTLIERS = [0.05, 0.1, 0.2, 0.25, 0.3, 0.4, 0.5];
  it.each([
    [4, [3, 5, 9, 13, 17, 34, 72]],
    [5, [4, 6, 12, 17, 26, 57, 146]],
    [7, [4, 8, 20, 33, 54, 163, 588]],
    [8, [5, 9, 26, 44, 78, 272, 1177]],
  ])("of size %i agree with the published table", (size, expected) => {
    expect(OUTLIERS.map((outliers) => sampleCount(1 - outliers, size, 0.99))).toEqual(expected);
  });

  it("are one where all is right, without end where nothing is", () => {
    expect(sampleCount(1, 7, 0.99)).toBe(1);
    expect(sampleCount(0, 7, 0.99)).toBe(Number.POSITIVE_INFINITY);
  });

  it("refuse what is out of range", () => {
    expect(() => sampleCount(1.1, 7, 0.99)).toThrow(RangeError);
    expect(() => sampleCount(Number.NaN, 7, 0.99)).toThrow(RangeError);
    expect(() => sampleCount(0.5, 0, 0.99)).toThrow(RangeError);
    expect(() => sampleCount(0.5, 7, 1)).toThrow(RangeError);
  });
});
