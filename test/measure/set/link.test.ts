import { describe, expect, test } from "vitest";
import { firstCandidates, linkPhotos, NEIGHBOUR_REACH, oddPhotos } from "#goodgate/measure/set/link.js";

describe("firstCandidates", () => {
  test("are neighbours three apart at the most, and the pairs that look alike, each once and in order", () => {
    const pairs = firstCandidates(6, [
      [0, 5],
      [1, 2],
    ]).map(({ a, b }) => `${a}${b}`);
    expect(pairs).toEqual(["01", "02", "03", "05", "12", "13", "14", "23", "24", "25", "34", "35", "45"]);
  });

  test("grow with the number of photos, not with its square", () => {
    const alike = (count: number) => Array.from({ length: count - 9 }, (_, i) => [i, i + 9] as const);
    const [few, many] = [200, 2000].map((count) => firstCandidates(count, alike(count)).length);
    expect(many / few).toBeLessThan(10.2);
  });
});

describe("linkPhotos", () => {
  /** Photos stand in a ring; those up to two places apart on it are linked. */
  const ringOf = (places: readonly number[]) => (a: number, b: number) => {
    const apart = Math.abs(places[a] - places[b]);
    return Math.min(apart, 12 - apart) <= 2;
  };

  async function link(places: readonly number[], alike: readonly (readonly [number, number])[]) {
    const linked = ringOf(places);
    let asked = 0;
    const { compared, comparedWith } = await linkPhotos(
      places.length,
      alike,
      async (candidates) => {
        asked += candidates.length;
        return candidates.map(({ a, b }) => linked(a, b));
      },
      (result) => result,
    );
    return { compared, comparedWith, asked };
  }

  test("a retake at the end of the order meets the photos beside which it was taken", async () => {
    // Twelve places, then place 4 once more.
    const { compared } = await link(
      [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 4],
      [
        [3, 12],
        [4, 12],
        [5, 12],
      ],
    );
    for (const beside of [3, 4, 5])
      expect(compared.find(({ a, b }) => a === beside && b === 12)?.result).toBe(true);
  });

  test("the first photo meets the last where they look alike", async () => {
    const places = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11];
    const { compared } = await link(places, [[0, 11]]);
    expect(compared.find(({ a, b }) => a === 0 && b === 11)?.result).toBe(true);
  });

  test("pairs that only looked alike are counted and not kept", async () => {
    const places = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11];
    const { compared, comparedWith, asked } = await link(places, [[0, 6]]);
    expect(compared.some(({ a, b }) => a === 0 && b === 6)).toBe(false);
    expect(comparedWith[0]).toBe(NEIGHBOUR_REACH + 1);
    expect(asked).toBe(firstCandidates(12, [[0, 6]]).length);
  });
});

describe("oddPhotos", () => {
  test("a photo that links to nothing is odd, one in the middle of its part is not", () => {
    const links = [
      { a: 0, b: 1 },
      { a: 1, b: 3 },
    ];
    expect(oddPhotos(4, links)).toEqual([1, 2, 3]);
  });
});
