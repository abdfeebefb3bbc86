import { describe, expect, test } from "vitest";
import { rotationAngleDeg, rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { multiply, transpose } from "#goodgate/measure/geometry/vector.js";
import { connectedParts } from "#goodgate/measure/parts.js";
import { solveRotations, type WeightedLink } from "#goodgate/measure/poses/rotations.js";
import { tripletVotes } from "#goodgate/measure/poses/triplets.js";
import { gaussian, randomSource } from "./synthetic.js";

const degrees = Math.PI / 180;
const about = (axis: number, angleDeg: number) =>
  rotationFromAxisAngle([0, 1, 2].map((k) => (k === axis ? angleDeg * degrees : 0)));

/** Links of a ring of photos over the given steps, each rotation off by noise. */
function ringLinks(
  count: number,
  steps: readonly number[],
  noiseDeg: number,
  random: () => number,
): WeightedLink[] {
  return steps.flatMap((step) =>
    Array.from({ length: count }, (_, k) => {
      const [i, j] = [k, (k + step) % count].sort((p, q) => p - q);
      const noise = rotationFromAxisAngle([0, 1, 2].map(() => noiseDeg * degrees * gaussian(random)));
      const exact = multiply(about(1, (360 / count) * j), transpose(about(1, (360 / count) * i)));
      return { i, j, rotations: [multiply(noise, exact)], inliers: 100 };
    }),
  );
}

describe("solveRotations", () => {
  test("a loop of 36 steps of 9.9 degrees closes by .1 degree a step", () => {
    const links = Array.from({ length: 36 }, (_, k) => {
      const closing = k === 35;
      return {
        i: closing ? 0 : k,
        j: closing ? 35 : k + 1,
        rotations: [about(1, closing ? -9.9 : 9.9)],
        inliers: 100,
      };
    });
    const { rotations, residualDeg, used } = solveRotations(36, links);
    for (let k = 0; k < 35; k++) {
      expect(rotationAngleDeg(multiply(rotations[k + 1], transpose(rotations[k])))).toBeCloseTo(10, 1);
    }
    expect(Math.max(...residualDeg)).toBeLessThan(0.15);
    expect(used.every(Boolean)).toBe(true);
  });

  test("an eighth of the links grossly wrong changes nothing", () => {
    const random = randomSource(4);
    const links = ringLinks(40, [1, 2, 3], 0.2, random).map((link, k) =>
      k % 8 === 0 ? { ...link, rotations: [multiply(about(0, 40 + (k % 50)), link.rotations[0])] } : link,
    );
    const { rotations, used, parts } = solveRotations(40, links);
    expect(parts).toHaveLength(1);
    links.forEach((_, k) => expect(used[k]).toBe(k % 8 !== 0));
    for (let k = 1; k < 40; k++) {
      const error = rotationAngleDeg(multiply(rotations[k], transpose(rotations[0])), about(1, 9 * k));
      expect(error).toBeLessThan(1.5);
    }
  });

  test("of two candidates the one that agrees with the others is chosen", () => {
    const random = randomSource(6);
    const links = ringLinks(20, [1, 2], 0.2, random).map((link, k) =>
      k % 3 === 0
        ? { ...link, rotations: [multiply(about(2, 20 + k), link.rotations[0]), ...link.rotations] }
        : link,
    );
    const { chosen, used } = solveRotations(20, links);
    links.forEach((_, k) => expect(chosen[k]).toBe(k % 3 === 0 ? 1 : 0));
    expect(used.every(Boolean)).toBe(true);
  });

  test("two halves that only links at odds with each other join hang together, if their matches are many", () => {
    const random = randomSource(8);
    const one = ringLinks(6, [1, 2], 0, random);
    const other = one.map((link) => ({ ...link, i: link.i + 6, j: link.j + 6 }));
    const between = (inliers: number) =>
      [0, 1, 2].map((k) => ({ i: k, j: 6 + k, rotations: [about(0, 12 * k)], inliers }));
    expect(solveRotations(12, [...one, ...other, ...between(80)]).parts).toHaveLength(1);
    expect(
      solveRotations(12, [...one, ...other, ...between(80)]).used.filter((use) => !use).length,
    ).toBeGreaterThan(0);
  });

  test("photos without links between them are parts of their own", () => {
    const random = randomSource(8);
    const one = ringLinks(6, [1], 0, random);
    const other = ringLinks(4, [1], 0, random).map((link) => ({ ...link, i: link.i + 6, j: link.j + 6 }));
    expect(solveRotations(11, [...one, ...other]).parts).toEqual([[0, 1, 2, 3, 4, 5], [6, 7, 8, 9], [10]]);
  });
});

test("a triangle votes for the candidates that close it, and for no other", () => {
  const links = [
    { i: 0, j: 1, rotations: [about(1, 50), about(1, 10)] },
    { i: 1, j: 2, rotations: [about(1, 10)] },
    { i: 0, j: 2, rotations: [about(1, 20)] },
  ];
  const { votes, triangles } = tripletVotes(3, links, 3);
  expect([...votes[0]]).toEqual([0, expect.closeTo(1, 6)]);
  expect([...triangles]).toEqual([1, 1, 1]);
});

test("parts come largest first, photos ascending", () => {
  expect(
    connectedParts(5, [
      [3, 4],
      [4, 1],
    ]),
  ).toEqual([[1, 3, 4], [0], [2]]);
});
