import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createFeatures } from "#goodgate/measure/features/features.js";
import { overlapRatio, polygonArea, shiftRatio, supportRatio } from "#goodgate/measure/pair/overlap.js";
import { madePair } from "./surfaces.js";

describe("overlap", () => {
  const seen = (see: (x: number, y: number) => readonly [number, number], seed = 1) =>
    madePair({ seed, right: 60, wrong: 0, see, noisePx: 0 });

  it("by hand: a shift by a quarter of the width leaves three quarters", () => {
    const { a, b, matches } = seen((x, y) => [x + 300, y]);
    expect(overlapRatio(a, b, matches)).toBeCloseTo(0.75, 2);
    expect(shiftRatio(a, b, matches)).toBeCloseTo(0.25, 6);
  });

  it("is all of a close-up that lies in the wide view, and a quarter the other way", () => {
    const { a, b, matches } = madePair({
      seed: 2,
      right: 80,
      wrong: 0,
      noisePx: 0,
      see: (x, y) => [299.75 + x / 2, 224.75 + y / 2],
    });
    // The keypoints' scales shrink with the picture.
    for (let i = 0; i < b.count; i++) b.scale[i] = a.scale[i] / 2;
    expect(overlapRatio(a, b, matches)).toBeCloseTo(1, 2);
    expect(overlapRatio(b, a, matches)).toBeCloseTo(0.25, 2);
  });

  it("is 0 apart and 1 alike, and undefined for fewer than three matches", () => {
    const apart = seen((x, y) => [x + 1300, y]);
    expect(overlapRatio(apart.a, apart.b, apart.matches)).toBe(0);
    const alike = seen((x, y) => [x, y]);
    expect(overlapRatio(alike.a, alike.b, alike.matches)).toBeCloseTo(1, 6);
    expect(overlapRatio(alike.a, alike.b, alike.matches.slice(0, 4))).toBeUndefined();
  });

  it("property: between pictures of one size that are only shifted and turned it is symmetric", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1000 }),
        fc.double({ min: -600, max: 600, noNaN: true }),
        fc.double({ min: -0.5, max: 0.5, noNaN: true }),
        (seed, shift, turn) => {
          const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
          const { a, b, matches } = madePair({
            seed,
            right: 60,
            wrong: 0,
            noisePx: 0,
            turn,
            see: (x, y) => [
              599.5 + cos * (x - 599.5) - sin * (y - 449.5) + shift,
              449.5 + sin * (x - 599.5) + cos * (y - 449.5),
            ],
          });
          return Math.abs(overlapRatio(a, b, matches)! - overlapRatio(b, a, matches)!) < 0.01;
        },
      ),
      { numRuns: 60, seed: 1 },
    );
  });

  it("by hand: areas by the shoelace formula", () => {
    expect(polygonArea([0, 0, 4, 0, 4, 3, 0, 3])).toBe(12);
    expect(polygonArea([0, 0, 4, 0, 0, 3])).toBe(6);
    expect(polygonArea([])).toBe(0);
  });
});

describe("support", () => {
  it("by hand: two of three occupied cells hold a match", () => {
    const a = createFeatures(5, 1200, 900);
    // Cells are 100 px: (0, 0) twice, (3, 0), (11, 8) twice.
    a.x.set([10, 90, 350, 1190, 1110]);
    a.y.set([10, 90, 50, 890, 810]);
    expect(supportRatio(a, Int32Array.of(0, 7, 1, 8, 4, 9))).toBeCloseTo(2 / 3, 12);
    expect(supportRatio(a, new Int32Array(0))).toBe(0);
    expect(supportRatio(createFeatures(0, 10, 10), new Int32Array(0))).toBeUndefined();
  });
});
