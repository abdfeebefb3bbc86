import { describe, expect, it } from "vitest";
import { FEWEST_PATCHES, measureDrift } from "#goodgate/measure/pair/drift.js";
import { measurePair } from "#goodgate/measure/pair/pair.js";
import { seededRandom } from "../../support/arrays.js";
import { madePair, paint, tilted } from "./surfaces.js";

function lit(count: number) {
  const pair = madePair({ seed: 1, right: count, wrong: 0, see: tilted });
  const random = seededRandom(2);
  paint(pair.a, () => [
    0.05 + 0.2 * random(),
    0.05 + 0.2 * random(),
    0.05 + 0.2 * random(),
    0,
    2 + random(),
    8 + random(),
  ]);
  const change = (red: number, green: number, blue: number, fine = 1, mid = 1) =>
    paint(pair.b, (i) => {
      const p = pair.a.patches.subarray(6 * i, 6 * i + 6);
      return [red * p[0], green * p[1], blue * p[2], 0, fine * p[4], mid * p[5]];
    });
  return { ...pair, change };
}

describe("drift on the matched surface", () => {
  it("is 0 where nothing changed", () => {
    const { a, b, matches, change } = lit(40);
    change(1, 1, 1);
    expect(measureDrift(a, b, matches)).toMatchObject({
      exposureDriftStops: 0,
      colourDrift: { redStops: 0, blueStops: 0 },
      relativeSharpness: 0,
    });
  });

  it("by hand: half the light is -1 stop, without colour", () => {
    const { a, b, matches, change } = lit(40);
    change(0.5, 0.5, 0.5);
    const drift = measureDrift(a, b, matches);
    expect(drift.exposureDriftStops).toBeCloseTo(-1, 6);
    expect(drift.colourDrift!.redStops).toBeCloseTo(0, 6);
  });

  it("by hand: double red and half blue are +1 and -1 against green", () => {
    const { a, b, matches, change } = lit(40);
    change(2, 1, 0.5);
    const { colourDrift } = measureDrift(a, b, matches);
    expect(colourDrift!.redStops).toBeCloseTo(1, 6);
    expect(colourDrift!.blueStops).toBeCloseTo(-1, 6);
  });

  it("by hand: a quarter of the fine energy is -2, whatever the exposure did to both bands", () => {
    const { a, b, matches, change } = lit(40);
    change(1, 1, 1, 0.25 * 3, 3);
    expect(measureDrift(a, b, matches).relativeSharpness).toBeCloseTo(-2, 6);
  });

  it("leaves out clipped patches, on either side", () => {
    const { a, b, matches, change } = lit(40);
    change(0.5, 0.5, 0.5);
    for (let i = 0; i < 25; i++) {
      b.patches.set([1, 1, 1], 6 * i);
      (i % 2 === 0 ? a : b).patches[6 * i + 3] = 0.03;
    }
    expect(measureDrift(a, b, matches).exposureDriftStops).toBeCloseTo(-1, 6);
  });

  it("is not measured below the fewest patches, rather than 0", () => {
    const { a, b, matches, change } = lit(FEWEST_PATCHES);
    change(0.5, 0.5, 0.5);
    expect(measureDrift(a, b, matches).exposureDriftStops).toBeCloseTo(-1, 6);
    expect(measureDrift(a, b, matches.slice(2))).toEqual({});
  });

  it("does not take a black or flat patch for a measurement", () => {
    const { a, b, matches, change } = lit(40);
    change(0, 0, 0, 0, 0);
    expect(measureDrift(a, b, matches)).toEqual({});
  });
});

describe("a pair", () => {
  it("swapped: drifts turn their sign, shift stays", () => {
    const { a, b, matches, change } = lit(60);
    change(0.7, 0.5, 0.6, 0.5, 0.9);
    const forth = measureDrift(a, b, matches);
    const back = measureDrift(b, a, matches);
    expect(back.exposureDriftStops).toBeCloseTo(-forth.exposureDriftStops!, 6);
    expect(back.colourDrift!.redStops).toBeCloseTo(-forth.colourDrift!.redStops, 6);
    expect(back.colourDrift!.blueStops).toBeCloseTo(-forth.colourDrift!.blueStops, 6);
    expect(back.relativeSharpness).toBeCloseTo(-forth.relativeSharpness!, 6);
  });

  it("that is not linked has no verified match and measures nothing else", () => {
    const { a, b } = madePair({ seed: 3, right: 0, wrong: 50, see: tilted });
    const { facts, inliers } = measurePair(a, b, 1);
    expect(facts).toEqual({ verifiedMatches: 0, verifiedRatio: 0 });
    expect(inliers.length).toBe(0);
  });
});
