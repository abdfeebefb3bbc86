import { describe, expect, test } from "vitest";
import { voteForPairs } from "#goodgate/measure/pairing/select-pairs.js";
import { dynamicMatches, staticMatches } from "#goodgate/measure/turntable/static-matches.js";
import { farPairs, subjectTurned } from "#goodgate/measure/turntable/turned-subject.js";
import { randomSource } from "../poses/synthetic.js";

/** Photos along a ring: each shows 60 of 600 words, one photo's share sliding on by 10; each sighting flips bits. */
function ringOfDescriptors(photos: number, random: () => number) {
  const vocabulary = Array.from({ length: 10 * photos }, () =>
    Uint32Array.from({ length: 8 }, () => Math.floor(random() * 2 ** 32)),
  );
  return Array.from({ length: photos }, (_, p) => {
    const count = 60;
    const descriptors = new Uint32Array(8 * count);
    for (let k = 0; k < count; k++) {
      const word = vocabulary[(10 * p + k) % vocabulary.length].slice();
      for (let flip = 0; flip < 25; flip++) word[Math.floor(random() * 8)] ^= 1 << Math.floor(random() * 32);
      descriptors.set(word, 8 * k);
    }
    return { count, scale: new Float32Array(count).fill(2), descriptors };
  });
}

describe("voteForPairs", () => {
  const photos = ringOfDescriptors(40, randomSource(3));
  const pairs = voteForPairs(photos, { neighbours: 0, partners: 4 });
  const has = (i: number, j: number) => pairs.some(([p, q]) => p === Math.min(i, j) && q === Math.max(i, j));

  test("finds the next photo of every photo by what they show, and closes the ring", () => {
    for (let i = 0; i < 40; i++) expect(has(i, (i + 1) % 40)).toBe(true);
  });

  test("pairs come once, ascending, first before second", () => {
    const keys = pairs.map(([i, j]) => i * 40 + j);
    expect(keys).toEqual([...new Set(keys)].sort((p, q) => p - q));
    expect(pairs.every(([i, j]) => i < j)).toBe(true);
    expect(pairs.length).toBeLessThanOrEqual(160);
  });

  test("votes counted for a few photos at a time, even for one, choose the same pairs", () => {
    for (const mostVotes of [39, 7 * 40, 39 * 40]) {
      expect(voteForPairs(photos, { neighbours: 0, partners: 4, mostVotes })).toEqual(pairs);
    }
  });

  test("of photos with equal votes the first are partners", () => {
    const alike = Array.from({ length: 5 }, () => photos[0]);
    expect(voteForPairs(alike, { neighbours: 0, partners: 2 })).toEqual([
      [0, 1],
      [0, 2],
      [0, 3],
      [0, 4],
      [1, 2],
      [1, 3],
      [1, 4],
    ]);
  });

  test("only the keypoints largest in scale vote, of equals the first", () => {
    const options = { neighbours: 0, partners: 4, keypoints: 30 };
    const half = (photo: (typeof photos)[number], from: number) =>
      photo.descriptors.subarray(8 * from, 8 * (from + 30));
    // The second half of each photo's keypoints show what a photo elsewhere shows.
    const second = photos.map((_, i) => half(photos[(7 * i) % 40], 30));
    const mixed = (scale: number) =>
      photos.map((photo, i) => ({
        count: 60,
        scale: photo.scale.map((own, k) => (k < 30 ? own : scale)),
        descriptors: Uint32Array.from([...half(photo, 0), ...second[i]]),
      }));
    const alone = (descriptors: Uint32Array) => ({
      count: 30,
      scale: new Float32Array(30).fill(2),
      descriptors,
    });
    const first = voteForPairs(
      photos.map((photo) => alone(half(photo, 0))),
      options,
    );
    const other = voteForPairs(second.map(alone), options);
    expect(other).not.toEqual(first);
    expect([1, 2, 3].map((scale) => voteForPairs(mixed(scale), options))).toEqual([first, first, other]);
  });

  test("neighbours are always in, also of photos without keypoints", () => {
    const none = { count: 0, scale: new Float32Array(0), descriptors: new Uint32Array(0) };
    expect(voteForPairs([none, none, none], { neighbours: 1 })).toEqual([
      [0, 1],
      [1, 2],
    ]);
  });

  test("more photos than the kernels can number are refused", () => {
    const none = { count: 0, scale: new Float32Array(0), descriptors: new Uint32Array(0) };
    const many = new Array<typeof none>(65_537).fill(none);
    expect(() => voteForPairs(many)).toThrow(new RangeError("expected at most 65536 photos, found 65537"));
  });
});

describe("turned subject", () => {
  const random = randomSource(11);
  const size = { widthPx: 1000, heightPx: 750 };
  const at = (count: number) => ({
    x: Float32Array.from({ length: count }, () => 1000 * random()),
    y: Float32Array.from({ length: count }, () => 750 * random()),
  });
  const a = { ...at(100), ...size };
  const matches = Int32Array.from({ length: 200 }, (_, k) => k >> 1);
  const moved = (still: number) => ({
    ...size,
    x: a.x.map((x, k) => (k < still ? x + 3 * random() : 1000 * random())),
    y: a.y.map((y, k) => (k < still ? y + 3 * random() : 750 * random())),
  });

  test("25 still matches of 100, well spread, are a still background; 24 are not", () => {
    const exactly = (n: number) => {
      const b = moved(n);
      for (let k = n; k < 100; k++) b.x[k] = a.x[k] + (a.x[k] < 500 ? 100 : -100);
      return staticMatches(a, b, matches);
    };
    expect(exactly(25)).toMatchObject({ count: 25, still: true });
    expect(exactly(24).still).toBe(false);
  });

  test("a camera nudged by 2 % of the picture and rolled by a degree still shows its background still", () => {
    const roll = Math.PI / 180;
    const b = {
      ...size,
      x: a.x.map((x, k) => (k < 60 ? x - roll * (a.y[k] - 375) + 20 : 1000 * random())),
      y: a.y.map((y, k) => (k < 60 ? y + roll * (a.x[k] - 500) - 12 : 750 * random())),
    };
    expect(staticMatches(a, b, matches)).toMatchObject({ count: 60, still: true });
    expect(dynamicMatches(a, b, matches)).toHaveLength(80);
  });

  test("a wall seen from 15 degrees further round is not still, though its middle hardly moves", () => {
    const cosine = Math.cos(Math.PI / 12);
    const b = { ...size, x: a.x.map((x) => 500 + cosine * (x - 500)), y: a.y };
    expect(staticMatches(a, b, matches).still).toBe(false);
  });

  test("a background with texture on one side only is still where it is most of what matches", () => {
    const narrow = { ...a, x: a.x.map((x) => 0.15 * x) };
    const b = (still: number) => ({
      ...narrow,
      x: narrow.x.map((x, k) => (k < still ? x : x + 100)),
    });
    expect(staticMatches(narrow, b(50), matches)).toMatchObject({ share: 0.5, still: true });
    expect(staticMatches(narrow, b(49), matches).still).toBe(false);
  });

  test("matches that all went elsewhere are none", () => {
    expect(staticMatches(a, moved(0), matches).still).toBe(false);
    expect(staticMatches(a, a, []).still).toBe(false);
  });

  test("the moving matches are the others", () => {
    const kept = dynamicMatches(a, moved(40), matches);
    expect(kept.length / 2).toBeGreaterThan(55);
    expect(kept.length / 2).toBeLessThanOrEqual(60);
  });

  test("far pairs are a quarter to three quarters of the set apart, each once", () => {
    for (const count of [4, 12, 47, 500]) {
      const pairs = farPairs(count);
      expect(pairs.length).toBeGreaterThan(count === 4 ? 1 : 5);
      for (const [i, j] of pairs) {
        const apart = Math.min(j - i, count - (j - i));
        expect(apart).toBeGreaterThanOrEqual(Math.floor(count / 4));
      }
    }
    expect(farPairs(3)).toEqual([]);
  });

  test("a quarter of the picture whose keypoints find nothing is changed by a quarter; a twin by nothing", () => {
    const many = { ...at(2000), ...size };
    const all = Array.from({ length: 2000 }, (_, k) => k);
    const outside = all.filter((k) => many.x[k] < 500 || many.y[k] < 375);
    const pairs = (which: readonly number[]) => Int32Array.from(which.flatMap((k) => [k, k]));
    expect(staticMatches(many, many, pairs(outside)).changedRatio).toBeCloseTo(0.25, 1);
    expect(staticMatches(many, many, pairs(all)).changedRatio).toBe(0);
  });

  test("half of the votes decide; without votes nothing is said", () => {
    const vote = (still: boolean, share = 0.7, changedRatio = 0) => ({
      count: 0,
      share,
      cells: 0,
      widthRatio: 0,
      heightRatio: 0,
      changedRatio,
      still,
    });
    expect(subjectTurned([vote(true), vote(false)])).toBe(true);
    expect(subjectTurned([vote(true), vote(false), vote(false)])).toBe(false);
    expect(subjectTurned([])).toBeUndefined();
    // Where nothing moved at all, the photos show one view, and nothing was turned.
    expect(subjectTurned([vote(true, 0.98), vote(true, 0.99)])).toBe(false);
    expect(subjectTurned([vote(true, 0.98), vote(true, 0.97)])).toBe(true);
    // Unless a part of the picture shows something else that no longer matches.
    expect(subjectTurned([vote(true, 0.98, 0.12), vote(true, 0.99, 0.08)])).toBe(true);
  });
});
