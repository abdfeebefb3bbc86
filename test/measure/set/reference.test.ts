import { describe, expect, it } from "vitest";
import { gainsFor } from "#goodgate/measure/set/correction.js";
import { largestBlock } from "#goodgate/measure/set/reference.js";

describe("the reference of a set", () => {
  const all = (count: number) => new Array<boolean>(count).fill(true);

  it("is the larger of two rings, not the middle between them", () => {
    const points = [...new Array<number[]>(9).fill([0]), ...new Array<number[]>(7).fill([1])];
    expect(largestBlock(points, all(16), 0.15)).toEqual([0]);
  });

  it("is the largest block that holds its highlights", () => {
    const points = [...new Array<number[]>(9).fill([1]), ...new Array<number[]>(7).fill([0])];
    expect(
      largestBlock(
        points,
        points.map(([value]) => value === 0),
        0.15,
      ),
    ).toEqual([0]);
    expect(
      largestBlock(
        points,
        points.map(() => false),
        0.15,
      ),
    ).toEqual([1]);
  });

  it("does not move with photos outside the block, however many they are or far off", () => {
    const ring = Array.from({ length: 12 }, (_, i) => [0.01 * i]);
    const still = largestBlock(ring, all(12), 0.15);
    for (const far of [[[5]], [[-0.4], [-0.5]], [[1], [1.02], [1.04], [2], [3], [9]]])
      expect(largestBlock([...ring, ...far], all(18), 0.15)).toEqual(still);
  });

  it("agrees in every value, leaves unknown photos out, and is undefined without any", () => {
    const points = [[0, 0.5], [0, 0], [0.1, 0.05], undefined, [0, 0.6]];
    expect(largestBlock([...points, [0.05, 0]], all(6), 0.15)).toEqual([0.05, 0]);
    expect(largestBlock([undefined], [true], 0.15)).toBeUndefined();
  });
});

describe("the gains that bring a photo to the reference", () => {
  const grey = { meanRedGreenStops: 0, meanBlueGreenStops: 0 };

  it("are 1 for a photo that is part of it, and take a whole stop off one that is a stop brighter", () => {
    expect(gainsFor({ exposureStops: 0, ...grey })).toEqual({ red: 1, green: 1, blue: 1 });
    expect(gainsFor({ exposureStops: 1, redStops: 0, blueStops: 0, ...grey })).toEqual({
      red: 0.5,
      green: 0.5,
      blue: 0.5,
    });
  });

  it("take back a change of all three channels, whatever the surface's colour", () => {
    // A surface of linear (.4, .2, .1), photographed half a stop over with red up by .3 and blue down by .4.
    const change = { red: 2 ** 0.8, green: 2 ** 0.5, blue: 2 ** 0.1 };
    const luminance = (r: number, g: number, b: number) => 0.2126 * r + 0.7152 * g + 0.0722 * b;
    const seen = [0.4 * change.red, 0.2 * change.green, 0.1 * change.blue] as const;
    const gains = gainsFor({
      exposureStops: Math.log2(luminance(...seen) / luminance(0.4, 0.2, 0.1)),
      redStops: 0.3,
      blueStops: -0.4,
      meanRedGreenStops: Math.log2(seen[0] / seen[1]),
      meanBlueGreenStops: Math.log2(seen[2] / seen[1]),
    });
    expect(gains.red * change.red).toBeCloseTo(1, 10);
    expect(gains.green * change.green).toBeCloseTo(1, 10);
    expect(gains.blue * change.blue).toBeCloseTo(1, 10);
  });
});
