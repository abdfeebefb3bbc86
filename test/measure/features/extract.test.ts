import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { extractFeatures } from "#goodgate/measure/features/extract.js";
import { matchDescriptors } from "#goodgate/measure/pair/match.js";
import type { Features } from "#goodgate/types/photo.js";
import { grey } from "../../support/arrays.js";
import { hammingDistance } from "../../support/hamming.js";
import { dots, quarterTurn } from "./pictures.js";

const AS_IS = { enlargeBelowPx: 0 };

/** Median of the values. */
function middle(values: number[]): number {
  return values.sort((a, b) => a - b)[values.length >> 1];
}

function moves(a: Features, b: Features, pairs: Int32Array): { x: number[]; y: number[]; turn: number[] } {
  const x: number[] = [];
  const y: number[] = [];
  const turn: number[] = [];
  for (let k = 0; k < pairs.length; k += 2) {
    x.push(b.x[pairs[k + 1]] - a.x[pairs[k]]);
    y.push(b.y[pairs[k + 1]] - a.y[pairs[k]]);
    turn.push(b.angle[pairs[k + 1]] - a.angle[pairs[k]]);
  }
  return { x, y, turn };
}

describe("keypoints", () => {
  it("are none in a flat photo, in a ramp, or in one too small to search", () => {
    expect(extractFeatures(grey(200, 150, () => 90)).count).toBe(0);
    expect(extractFeatures(grey(200, 150, (x) => x)).count).toBe(0);
    expect(extractFeatures(grey(10, 8, (x, y) => 255 * ((x + y) % 2))).count).toBe(0);
  });

  it("sit on the middle of a soft dot, with its scale and polarity", () => {
    const sigma = 4;
    for (const [bright, height] of [
      [1, 100],
      [0, -100],
    ] as const) {
      const picture = grey(
        160,
        120,
        (x, y) => 128 + height * Math.exp(-((x - 70.3) ** 2 + (y - 51.6) ** 2) / (2 * sigma ** 2)),
      );
      const found = extractFeatures(picture, AS_IS);
      expect(found.count).toBeGreaterThan(0);
      expect(found.x[0]).toBeCloseTo(70.3, 1);
      expect(found.y[0]).toBeCloseTo(51.6, 1);
      // The difference of Gaussians k sigma and sigma peaks near the dot's own sigma (Lindeberg 1998: at t = sigma^2).
      expect(found.scale[0]).toBeGreaterThan(0.75 * sigma);
      expect(found.scale[0]).toBeLessThan(1.25 * sigma);
      expect(found.descriptors[7] >>> 31).toBe(bright);
    }
  });

  it("keep to the limit, strongest first, and lie within the picture", () => {
    const picture = dots(400, 300, 500, 3);
    const all = extractFeatures(picture, AS_IS);
    const few = extractFeatures(picture, { ...AS_IS, limit: 40 });
    expect(all.count).toBeGreaterThan(200);
    expect(few.count).toBe(40);
    // The strongest of all are among the few.
    expect([few.x[0], few.y[0]]).toEqual([all.x[0], all.y[0]]);
    for (let i = 0; i < all.count; i++) {
      expect(all.x[i] > 0 && all.x[i] < 399 && all.y[i] > 0 && all.y[i] < 299).toBe(true);
    }
  });

  it("of a small picture, enlarged inside, stand where those of the picture itself stand", () => {
    const picture = dots(300, 220, 200, 5);
    const plain = extractFeatures(picture, AS_IS);
    const enlarged = extractFeatures(picture);
    expect([enlarged.widthPx, enlarged.heightPx]).toEqual([300, 220]);
    const pairs = matchDescriptors(plain, enlarged);
    expect(pairs.length / 2).toBeGreaterThan(100);
    const { x, y } = moves(plain, enlarged, pairs);
    expect(Math.abs(middle(x))).toBeLessThan(0.05);
    expect(Math.abs(middle(y))).toBeLessThan(0.05);
  });

  it("come out the same, bit for bit, a second time", () => {
    const picture = dots(320, 240, 200, 9);
    const [p, q] = [extractFeatures(picture), extractFeatures(picture)];
    expect(new Uint8Array(p.x.buffer)).toEqual(new Uint8Array(q.x.buffer));
  });

  it("refuse an array that does not fit the size", () => {
    expect(() => extractFeatures({ width: 4, height: 4, data: new Uint8Array(15) })).toThrow(RangeError);
  });

  it("property: a shift of the picture moves the keypoints by as much", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1000 }),
        fc.double({ min: -12, max: 12, noNaN: true }),
        fc.double({ min: -12, max: 12, noNaN: true }),
        (seed, dx, dy) => {
          const a = extractFeatures(dots(256, 192, 150, seed), AS_IS);
          const b = extractFeatures(dots(256, 192, 150, seed, dx, dy), AS_IS);
          const pairs = matchDescriptors(a, b);
          const { x, y } = moves(a, b, pairs);
          return pairs.length / 2 >= 40 && Math.abs(middle(x) - dx) < 0.05 && Math.abs(middle(y) - dy) < 0.05;
        },
      ),
      { numRuns: 12, seed: 1 },
    );
  });

  it("property: a quarter turn of the picture matches itself, turned", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1000 }), (seed) => {
        const picture = dots(257, 193, 150, seed);
        const a = extractFeatures(picture, AS_IS);
        const b = extractFeatures(quarterTurn(picture), AS_IS);
        const pairs = matchDescriptors(a, b);
        let right = 0;
        for (let k = 0; k < pairs.length; k += 2) {
          const offX = b.x[pairs[k + 1]] - (192 - a.y[pairs[k]]);
          const offY = b.y[pairs[k + 1]] - a.x[pairs[k]];
          const turn = b.angle[pairs[k + 1]] - a.angle[pairs[k]] - Math.PI / 2;
          if (Math.hypot(offX, offY) < 1 && Math.abs(Math.sin(turn / 2)) < 0.05) right++;
        }
        return pairs.length / 2 > 0.5 * a.count && right > 0.97 * (pairs.length / 2);
      }),
      { numRuns: 8, seed: 1 },
    );
  });

  it("property: a descriptor is at distance 0 from itself, and brightness or contrast leave it nearly alone", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1000 }),
        fc.double({ min: 0.6, max: 0.9, noNaN: true }),
        (seed, gain) => {
          const picture = dots(200, 150, 80, seed);
          const dimmed = grey(200, 150, (x, y) => 20 + gain * picture.data[y * 200 + x]);
          const a = extractFeatures(picture, AS_IS);
          const b = extractFeatures(dimmed, AS_IS);
          for (let i = 0; i < a.count; i++)
            if (hammingDistance(a.descriptors, i, a.descriptors, i) !== 0) return false;
          const pairs = matchDescriptors(a, b);
          const distances: number[] = [];
          for (let k = 0; k < pairs.length; k += 2) {
            distances.push(hammingDistance(a.descriptors, pairs[k], b.descriptors, pairs[k + 1]));
          }
          return distances.length > 0.6 * a.count && middle(distances) <= 12;
        },
      ),
      { numRuns: 8, seed: 1 },
    );
  });
});
