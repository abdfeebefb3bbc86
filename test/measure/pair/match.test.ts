import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createFeatures } from "#goodgate/measure/features/features.js";
import { wrapAngle } from "#goodgate/measure/pair/correspondences.js";
import { matchDescriptors } from "#goodgate/measure/pair/match.js";
import type { Features } from "#goodgate/types/photo.js";
import { seededRandom } from "../../support/arrays.js";
import { hammingDistance } from "../../support/hamming.js";

function randomFeatures(count: number, seed: number): Features {
  const random = seededRandom(seed);
  const features = createFeatures(count, 100, 100);
  for (let k = 0; k < features.descriptors.length; k++)
    features.descriptors[k] = Math.floor(random() * 2 ** 32);
  return features;
}

/** A copy with `bits` of every descriptor's first 255 bits flipped. */
function disturbed(from: Features, bits: number, seed: number): Features {
  const random = seededRandom(seed);
  const copy = createFeatures(from.count, 100, 100);
  copy.descriptors.set(from.descriptors);
  for (let i = 0; i < from.count; i++) {
    const flipped = new Set<number>();
    while (flipped.size < bits) flipped.add(Math.floor(random() * 255));
    for (const bit of flipped) copy.descriptors[8 * i + (bit >> 5)] ^= 1 << (bit & 31);
  }
  return copy;
}

function pairsOf(matches: Int32Array): string[] {
  return Array.from({ length: matches.length / 2 }, (_, k) => `${matches[2 * k]}-${matches[2 * k + 1]}`);
}

/** All distances, the plain way. */
function matchPlainly(a: Features, b: Features, ratio: number, maxDistance: number): string[] {
  const polarity = (f: Features, i: number) => f.descriptors[8 * i + 7] >>> 31;
  const distance = (i: number, j: number) =>
    polarity(a, i) === polarity(b, j) ? hammingDistance(a.descriptors, i, b.descriptors, j) : 256;
  const out: string[] = [];
  for (let i = 0; i < a.count; i++) {
    const row = Array.from({ length: b.count }, (_, j) => distance(i, j));
    const j = row.indexOf(Math.min(...row));
    const column = Array.from({ length: a.count }, (_, k) => distance(k, j));
    const second = (list: number[]) => [...list, 256].sort((p, q) => p - q)[1];
    const d = row[j];
    if (column.indexOf(Math.min(...column)) !== i || d > maxDistance) continue;
    if (d <= ratio * second(row) && d <= ratio * second(column)) out.push(`${i}-${j}`);
  }
  return out;
}

describe("Hamming distance", () => {
  it("by hand: counts differing bits in every word", () => {
    const a = new Uint32Array(16);
    const b = new Uint32Array(16);
    b.set([0xffffffff, 1, 0x80000000, 0, 0x0f0f0f0f, 0, 3, 0x80000001], 8);
    expect(hammingDistance(a, 0, b, 0)).toBe(0);
    expect(hammingDistance(a, 1, b, 1)).toBe(32 + 1 + 1 + 0 + 16 + 0 + 2 + 2);
  });

  it("of random bits has mean 128 and standard deviation 8 (binomial, 256 bits)", () => {
    const a = randomFeatures(200, 1);
    const b = randomFeatures(200, 2);
    let sum = 0;
    let squares = 0;
    for (let i = 0; i < 200; i++) {
      for (let j = 0; j < 200; j++) {
        const d = hammingDistance(a.descriptors, i, b.descriptors, j);
        sum += d;
        squares += d * d;
      }
    }
    const mean = sum / 40000;
    expect(Math.abs(mean - 128)).toBeLessThan(0.5);
    expect(Math.abs(Math.sqrt(squares / 40000 - mean * mean) - 8)).toBeLessThan(0.3);
  });
});

describe("matching", () => {
  it("pairs every descriptor with its disturbed copy", () => {
    const a = randomFeatures(300, 3);
    const matches = matchDescriptors(a, disturbed(a, 40, 4));
    expect(pairsOf(matches)).toEqual(Array.from({ length: 300 }, (_, i) => `${i}-${i}`));
  });

  it("takes none beyond the largest distance, and none of unrelated bits", () => {
    const a = randomFeatures(100, 5);
    expect(matchDescriptors(a, disturbed(a, 60, 6), { maxDistance: 59 }).length).toBe(0);
    expect(matchDescriptors(a, disturbed(a, 60, 6), { maxDistance: 60 }).length).toBe(200);
    expect(matchDescriptors(a, randomFeatures(100, 7)).length).toBe(0);
  });

  it("drops a match whose second best is nearly as good", () => {
    const a = randomFeatures(1, 8);
    const b = createFeatures(2, 100, 100);
    b.descriptors.set(disturbed(a, 30, 9).descriptors, 0);
    b.descriptors.set(disturbed(a, 33, 10).descriptors, 8);
    // 30 of 33 is above .88, below .92.
    expect(matchDescriptors(a, b).length).toBe(0);
    expect(pairsOf(matchDescriptors(a, b, { ratio: 0.92 }))).toEqual(["0-0"]);
  });

  it("never pairs a bright blob with a dark one", () => {
    const a = randomFeatures(50, 11);
    const b = disturbed(a, 0, 12);
    for (let i = 0; i < 50; i++) b.descriptors[8 * i + 7] ^= 0x80000000;
    expect(matchDescriptors(a, b).length).toBe(0);
  });

  it("finds nothing where one photo has no keypoints", () => {
    expect(matchDescriptors(createFeatures(0, 10, 10), randomFeatures(5, 1)).length).toBe(0);
    expect(matchDescriptors(randomFeatures(5, 1), createFeatures(0, 10, 10)).length).toBe(0);
  });

  it("leaves out what turned otherwise where the strongest agree on a turn, unless any turn counts", () => {
    const a = randomFeatures(1000, 13);
    a.scale.fill(2);
    for (let i = 0; i < 1000; i++) a.angle[i] = -3.1 + 0.0062 * i;
    // Each again, turned by half a radian, and a third of them once more, turned by two and nearly as near.
    const b = createFeatures(1330, 100, 100);
    b.descriptors.set(disturbed(a, 30, 14).descriptors);
    b.descriptors.set(disturbed(a, 33, 15).descriptors.subarray(8 * 670), 8 * 1000);
    b.scale.fill(2);
    for (let i = 0; i < 1330; i++)
      b.angle[i] = wrapAngle(a.angle[i < 1000 ? i : i - 330] + (i < 1000 ? 0.5 : 2));
    expect(matchDescriptors(a, b, { anyTurn: true }).length).toBe(2 * 670);
    expect(pairsOf(matchDescriptors(a, b))).toEqual(Array.from({ length: 1000 }, (_, k) => `${k}-${k}`));
  });

  it("property: equals the plain way, and swapping the photos gives the same pairs", () => {
    fc.assert(
      fc.property(
        fc.integer(),
        fc.integer({ min: 1, max: 30 }),
        fc.integer({ min: 0, max: 100 }),
        (seed, count, bits) => {
          const a = randomFeatures(count, seed);
          const b = disturbed(a, bits, seed + 1);
          const forth = pairsOf(matchDescriptors(a, b));
          const back = pairsOf(matchDescriptors(b, a)).map((pair) => pair.split("-").reverse().join("-"));
          expect(forth).toEqual(matchPlainly(a, b, 0.88, 90));
          expect(back.sort()).toEqual([...forth].sort());
        },
      ),
      { numRuns: 40, seed: 1 },
    );
  });
});
