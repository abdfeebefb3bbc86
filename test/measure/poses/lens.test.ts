import { describe, expect, test } from "vitest";
import { judgeLens } from "#goodgate/measure/poses/lens.js";

describe("judgeLens", () => {
  test("a measured focal length a thousandth off changes nothing, and makes the stated one surer", () => {
    const lens = judgeLens({ focalFactor: 1.001, focalSigma: 0.001 }, 1);
    expect(lens).toMatchObject({ factor: 1, source: "exif" });
    expect(lens.sigma).toBeLessThan(0.011);
  });

  test("three percent off a rounded EXIF value is taken for the most part: .02 against .0102", () => {
    // own = hypot(2 * .001, .01); share = .02^2 / (.02^2 + own^2).
    const own = Math.hypot(0.002, 0.01);
    const share = 0.02 ** 2 / (0.02 ** 2 + own ** 2);
    const { factor, source, sigma } = judgeLens({ focalFactor: Math.exp(0.03), focalSigma: 0.001 }, 1);
    expect(Math.log(factor)).toBeCloseTo(share * 0.03, 9);
    expect(source).toBe("measured");
    expect(sigma).toBeCloseTo(own * Math.sqrt(share), 9);
  });

  test("ten percent off contradicts EXIF: the measured one holds alone", () => {
    const { factor, source } = judgeLens({ focalFactor: 1 / 1.1, focalSigma: 0.002 }, 1);
    expect(factor).toBeCloseTo(1 / 1.1, 9);
    expect(source).toBe("measured");
  });

  test("a vague measurement leaves EXIF alone", () => {
    expect(judgeLens({ focalFactor: 1.1, focalSigma: 0.2 }, 1)).toMatchObject({ factor: 1, source: "exif" });
  });

  test("where none is stated the measured one counts for nearly all", () => {
    const { factor, source } = judgeLens({ focalFactor: 1.2, focalSigma: 0.003 }, 0);
    expect(factor).toBeGreaterThan(1.195);
    expect(source).toBe("measured");
  });

  test("nothing measured: the stated one with its own error, five times as large where it is assumed", () => {
    expect(judgeLens(undefined, 1)).toEqual({ factor: 1, source: "exif", sigma: 0.02 });
    expect(judgeLens({ focalFactor: 1 }, 0)).toEqual({ factor: 1, source: "assumed", sigma: 0.1 });
    expect(judgeLens(undefined, 0.5).source).toBe("mixed");
  });
});
