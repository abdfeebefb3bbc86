import { describe, expect, test } from "vitest";
import { levelled, upAxis } from "#goodgate/measure/coverage/up.js";
import { angleDegBetween, unit } from "#goodgate/measure/geometry/vector.js";
import { type RingOptions, randomSource, ring } from "../poses/synthetic.js";

/** Largest angle between the axis found and the true one, over several walks. */
function worstOff(options: RingOptions, more: readonly RingOptions[] = []): number {
  const offs = [1, 2, 3, 4, 5, 6].map((seed) => {
    const random = randomSource(seed);
    const cameras = [options, ...more].flatMap((one) => ring(one, random));
    const { up } = upAxis(
      cameras.map(({ rotation }) => rotation),
      cameras.map(({ centre }) => centre),
      5,
    );
    return angleDegBetween(up, [0, 0, 1]);
  });
  return Math.max(...offs);
}

describe("upAxis", () => {
  test("a full ring with rolls of 3 degrees: within 3 degrees, low and high, with 40 % turned to portrait on their side", () => {
    for (const elevationDeg of [8, 30, 52])
      expect(worstOff({ photos: 30, elevationDeg, portraitRatio: 0.4, sidewaysFiles: true })).toBeLessThan(3);
  });

  test("photos that all look one way: up is not along the view", () => {
    expect(worstOff({ photos: 8, elevationDeg: 8, spanDeg: 35 })).toBeLessThan(15);
    expect(worstOff({ photos: 8, elevationDeg: 30, spanDeg: 50 })).toBeLessThan(15);
  });

  test("a walk that rises and sinks by 6 degrees does not tip it", () => {
    expect(worstOff({ photos: 30, elevationDeg: 25, swayDeg: 6 })).toBeLessThan(3);
  });

  test("photos from straight above, rolled any way, do not tip it", () => {
    const above = {
      photos: 5,
      elevationDeg: 82,
      jitter: { aimDeg: 3, rollDeg: 60, placeDeg: 2, distanceRatio: 0 },
    };
    expect(worstOff({ photos: 24, elevationDeg: 25 }, [above])).toBeLessThan(3);
  });
});

test("an axis as sure as a level surface is (.5 degree) meets its normal halfway", () => {
  const { up, uncertaintyDeg } = levelled({ up: [0, 0, 1], uncertaintyDeg: 0.5 }, [
    Math.sin(0.04),
    0,
    Math.cos(0.04),
  ]);
  expect(angleDegBetween(up, unit([Math.sin(0.02), 0, Math.cos(0.02)]))).toBeLessThan(1e-6);
  expect(uncertaintyDeg).toBeCloseTo(0.5 / Math.SQRT2, 9);
});
