import { describe, expect, test } from "vitest";
import { linkPhotos, NEIGHBOUR_REACH, neighbours, oddPhotos } from "#goodgate/measure/pairing/link.js";

describe("linkPhotos", () => {
  /** Photos stand in a ring; those up to two places apart on it are linked. */
  const ringOf = (places: readonly number[]) => (a: number, b: number) => {
    const apart = Math.abs(places[a] - places[b]);
    return Math.min(apart, 12 - apart) <= 2;
  };

  async function link(places: readonly number[], alike: readonly (readonly [number, number])[]) {
    const linked = ringOf(places);
    const asked: string[] = [];
    const { compared, comparedWith } = await linkPhotos(
      places.length,
      Promise.resolve(alike),
      async (candidates) => {
        asked.push(...candidates.map(({ a, b }) => `${a}-${b}`));
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
    expect(asked).toHaveLength(neighbours(12).length + 1);
  });

  test("each pair is asked once, though neighbours look alike too, and kept in order", async () => {
    const places = [0, 1, 2, 3, 4, 5];
    const { compared, asked } = await link(places, [
      [0, 5],
      [1, 2],
    ]);
    expect([...asked].sort()).toEqual(
      ["01", "02", "03", "05", "12", "13", "14", "23", "24", "25", "34", "35", "45"].map(
        ([a, b]) => `${a}-${b}`,
      ),
    );
    expect(compared.map(({ a, b }) => 6 * a + b)).toEqual(
      compared.map(({ a, b }) => 6 * a + b).sort((p, q) => p - q),
    );
  });

  test("neighbours are asked before it is known what looks alike", async () => {
    const asked: number[] = [];
    let found = (_: readonly (readonly [number, number])[]): void => {};
    const linking = linkPhotos(
      6,
      new Promise<readonly (readonly [number, number])[]>((resolve) => {
        found = resolve;
      }),
      async (candidates) => {
        asked.push(candidates.length);
        return candidates.map(() => true);
      },
      (result) => result,
    );
    expect(asked).toEqual([neighbours(6).length]);
    found([[0, 5]]);
    await linking;
    expect(asked.slice(0, 2)).toEqual([neighbours(6).length, 1]);
  });

  test("the number of pairs grows with the number of photos, not with its square", async () => {
    const asked = async (count: number) =>
      (
        await link(
          Array.from({ length: count }, (_, i) => i % 12),
          Array.from({ length: count - 9 }, (_, i) => [i, i + 9] as const),
        )
      ).asked.length;
    expect((await asked(2000)) / (await asked(200))).toBeLessThan(10.3);
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
