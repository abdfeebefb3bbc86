import { describe, expect, it } from "vitest";
import { createRandom, drawSample } from "#goodgate/measure/geometry/random.js";

describe("seeded random numbers", () => {
  it("are the same for the same seed and others for another", () => {
    const draw = (seed: number) => Array.from({ length: 20 }, createRandom(seed).next);
    expect(draw(7)).toEqual(draw(7));
    expect(draw(7)).not.toEqual(draw(8));
  });

  it("fill [0, 1) evenly: chi-squared over 16 bins stays below its 99.9 % point, 37.7", () => {
    for (const seed of [0, 1, 2, -5, 123456789]) {
      const { next } = createRandom(seed);
      const bins = new Array(16).fill(0);
      for (let k = 0; k < 16000; k++) {
        const value = next();
        expect(value >= 0 && value < 1).toBe(true);
        bins[Math.floor(16 * value)]++;
      }
      expect(bins.reduce((sum, n) => sum + (n - 1000) ** 2 / 1000, 0)).toBeLessThan(37.7);
    }
  });

  it("give samples of different numbers, each as likely as any other", () => {
    const random = createRandom(3);
    const sample = new Int32Array(4);
    const drawn = new Array(6).fill(0);
    for (let k = 0; k < 6000; k++) {
      drawSample(random, 6, 4, sample);
      expect(new Set(sample).size).toBe(4);
      for (const i of sample) drawn[i]++;
    }
    // 4000 each expected; the standard deviation is about 37.
    for (const n of drawn) expect(Math.abs(n - 4000)).toBeLessThan(180);
  });

  it("give all numbers where the sample is as large as the choice, and refuse a larger one", () => {
    const sample = new Int32Array(5);
    drawSample(createRandom(1), 5, 5, sample);
    expect(Array.from(sample).sort()).toEqual([0, 1, 2, 3, 4]);
    expect(() => drawSample(createRandom(1), 4, 5, sample)).toThrow(RangeError);
  });
});
