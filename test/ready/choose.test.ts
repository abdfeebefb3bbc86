import { describe, expect, it } from "vitest";
import { angleBetweenDirections, type Direction } from "#goodgate/measure/coverage/directions.js";
import { createRandom } from "#goodgate/measure/geometry/random.js";
import { type Candidate, choose } from "#goodgate/ready/choose.js";

const ALL = { most: Number.POSITIVE_INFINITY, mostBytes: Number.POSITIVE_INFINITY };
/** Photos that look at the same surface. */
const LINKED_DEG = 40;
const NO_GAP = () => false;

function photo(direction: Direction, qualityStops = 0): Candidate {
  return { direction, qualityStops, bytes: 1 };
}

function ring(count: number, elevationDeg = 10): Candidate[] {
  return Array.from({ length: count }, (_, k) => photo({ azimuthDeg: (360 * k) / count, elevationDeg }));
}

/** Two rings and a few from above, each somewhat off its place. */
function walk(count: number, seed: number): Candidate[] {
  const random = createRandom(seed);
  return Array.from({ length: count }, (_, k) =>
    photo(
      {
        azimuthDeg: ((((720 * k) / count + 6 * random.next()) % 360) + 360) % 360,
        elevationDeg: (k < count / 2 ? 10 : 40) + 6 * random.next(),
      },
      random.next() - 0.5,
    ),
  );
}

function linksOf(candidates: readonly Candidate[]): [number, number][] {
  return candidates.flatMap((a, i) =>
    candidates.flatMap((b, j): [number, number][] =>
      i < j && a.direction && b.direction && angleBetweenDirections(a.direction, b.direction) < LINKED_DEG
        ? [[i, j]]
        : [],
    ),
  );
}

/** So that only the views decide. */
function everyPair(candidates: readonly Candidate[]): [number, number][] {
  return candidates.flatMap((_, i) =>
    candidates.slice(i + 1).map((_, k): [number, number] => [i, i + 1 + k]),
  );
}

/** Least number of photos that see a direction of the upper half, on a grid of the test's own. */
function leastViews(candidates: readonly Candidate[], kept: readonly number[]): number {
  let least = Number.POSITIVE_INFINITY;
  for (let elevationDeg = 0; elevationDeg <= 90; elevationDeg += 10)
    for (let azimuthDeg = 0; azimuthDeg < 360; azimuthDeg += 10) {
      const seen = kept.filter(
        (k) => angleBetweenDirections(candidates[k].direction!, { azimuthDeg, elevationDeg }) <= 60,
      );
      least = Math.min(least, seen.length);
    }
  return least;
}

function* subsets(count: number, size: number, from = 0): Generator<number[]> {
  if (size === 0) yield [];
  else
    for (let first = from; first <= count - size; first++)
      for (const rest of subsets(count, size - 1, first + 1)) yield [first, ...rest];
}

describe("choosing the best of many photos", () => {
  it("keeps all where no number is asked for", () => {
    const candidates = ring(12);
    const { kept } = choose(candidates, { ...ALL, links: linksOf(candidates), opensGap: NO_GAP });
    expect(kept).toEqual([...candidates.keys()]);
  });

  it("spreads what stays evenly round a ring", () => {
    const candidates = ring(72);
    const { kept, given } = choose(candidates, {
      ...ALL,
      most: 24,
      links: linksOf(candidates),
      opensGap: NO_GAP,
    });
    expect(kept).toHaveLength(24);
    expect(given).toEqual({ directions: 0, gap: false, apart: false });
    const steps = kept.map((k, n) => ((kept[(n + 1) % kept.length] - k + 72) % 72) * 5);
    expect(Math.max(...steps)).toBeLessThanOrEqual(25);
  });

  it("of two photos from one place keeps the sharper", () => {
    const candidates = [...ring(12), photo({ azimuthDeg: 0.5, elevationDeg: 10 }, 0.8)];
    const { kept } = choose(candidates, { ...ALL, most: 12, links: linksOf(candidates), opensGap: NO_GAP });
    expect(kept).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]);
  });

  it("keeps the photo that holds two halves together", () => {
    const candidates = ring(10);
    const links: [number, number][] = [
      [0, 1],
      [1, 2],
      [2, 3],
      [0, 2],
      [1, 3],
      [3, 4],
      [4, 5],
      [5, 6],
      [6, 7],
      [7, 8],
      [8, 9],
      [6, 8],
      [7, 9],
    ];
    const { kept, given } = choose(candidates, { ...ALL, most: 7, links, opensGap: NO_GAP });
    expect(kept).toEqual(expect.arrayContaining([3, 4, 5, 6]));
    expect(given.apart).toBe(false);
  });

  it("lets a photo of unknown place go before one of a known place", () => {
    const candidates = [...ring(12), { direction: undefined, qualityStops: 3, bytes: 1 }];
    const links = [...linksOf(candidates), [0, 12] as [number, number]];
    const { kept } = choose(candidates, { ...ALL, most: 12, links, opensGap: NO_GAP });
    expect(kept).not.toContain(12);
  });

  it("never opens a gap as long as another photo can go", () => {
    const candidates = ring(24);
    const opensGap = (kept: readonly number[]) => !kept.includes(5) || !kept.includes(6);
    const { kept, given } = choose(candidates, { ...ALL, most: 14, links: linksOf(candidates), opensGap });
    expect(kept).toEqual(expect.arrayContaining([5, 6]));
    expect(given.gap).toBe(false);
  });

  it("says what it gave up where the number leaves no choice", () => {
    const candidates = ring(24);
    const { kept, given } = choose(candidates, {
      ...ALL,
      most: 3,
      links: linksOf(candidates),
      opensGap: (k) => k.length < 10,
    });
    expect(kept).toHaveLength(3);
    expect(given).toMatchObject({ gap: true, apart: true });
    expect(given.directions).toBeGreaterThan(0);
  });

  it("stops at the bytes asked for", () => {
    const candidates = ring(24).map((one, k) => ({ ...one, bytes: k % 2 ? 3 : 1 }));
    const { kept } = choose(candidates, {
      ...ALL,
      mostBytes: 30,
      links: linksOf(candidates),
      opensGap: NO_GAP,
    });
    expect(kept.reduce((sum, k) => sum + candidates[k].bytes, 0)).toBeLessThanOrEqual(30);
    expect(kept.length).toBeGreaterThan(10);
  });

  it.each([1, 2, 3, 4, 5, 6])(
    "has the least seen direction seen as often as any choice of 8 out of 13 does (walk %i)",
    (seed) => {
      const candidates = walk(13, seed).map((one) => ({ ...one, qualityStops: 0 }));
      const { kept } = choose(candidates, {
        ...ALL,
        most: 8,
        links: everyPair(candidates),
        opensGap: NO_GAP,
      });
      let best = 0;
      for (const subset of subsets(13, 8)) best = Math.max(best, leastViews(candidates, subset));
      expect(leastViews(candidates, kept)).toBeGreaterThanOrEqual(0.95 * best);
    },
  );

  it.each([7, 8, 9])(
    "leaves the least seen direction no worse off than every k-th photo and the sharpest do (walk %i)",
    (seed) => {
      const candidates = walk(160, seed);
      const { kept } = choose(candidates, { ...ALL, most: 40, links: linksOf(candidates), opensGap: NO_GAP });
      const everyFourth = [...candidates.keys()].filter((k) => k % 4 === 0);
      const sharpest = [...candidates.keys()]
        .sort((a, b) => candidates[b].qualityStops - candidates[a].qualityStops)
        .slice(0, 40);
      const least = leastViews(candidates, kept);
      expect(least).toBeGreaterThanOrEqual(leastViews(candidates, everyFourth));
      expect(least).toBeGreaterThanOrEqual(leastViews(candidates, sharpest));
    },
  );
});
