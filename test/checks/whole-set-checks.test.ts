import { describe, expect, test } from "vitest";
import { copiedPhotos } from "#goodgate/checks/copied-photos.js";
import { fewPixels } from "#goodgate/checks/few-pixels.js";
import { judge } from "#goodgate/checks/index.js";
import { mirroredPhotos } from "#goodgate/checks/mirrored-photos.js";
import { noParallax } from "#goodgate/checks/no-parallax.js";
import { noisyPhoto } from "#goodgate/checks/noisy-photo.js";
import { oneSide } from "#goodgate/checks/one-side.js";
import { separateParts } from "#goodgate/checks/separate-parts.js";
import type { Facts } from "#goodgate/types/facts.js";
import { azimuths, factsAround, standsAt } from "../support/around.js";
import { facts, jugNames, m, pair, photo } from "../support/facts.js";

const names = jugNames(20);
const photos = names.map((file) => photo(file));

describe("copied-photos", () => {
  const copies = (originals: number) =>
    facts(photos.map((one, i) => ({ ...one, contentHash: `${i % originals}`.padStart(64, "0") })));
  const told = (about: Facts) => copiedPhotos.judge(about, copiedPhotos.limits).findings;

  test("told where fewer than the share are different", () => {
    const least = copiedPhotos.limits.different.value * names.length;
    expect(told(copies(least))).toEqual([]);
    expect(told(copies(least - 1))).toMatchObject([{ message: "These are 20 copies of 9 photos." }]);
    expect(told(copies(1))).toMatchObject([
      { message: "These are 20 copies of one photo.", whatItIs: "alone" },
    ]);
    expect(told(facts([photo("jug.jpg")]))).toEqual([]);
  });
});

describe("no-parallax", () => {
  const shown = (planeRatio: number, shiftRatio: number) =>
    facts(photos, {
      pairs: names.slice(1).map((b, i) => pair(names[i]!, b, { planeRatio, shiftRatio })),
    });
  const told = (about: Facts) => noParallax.judge(about, noParallax.limits).findings;
  const { plane, moved } = noParallax.limits;

  test("told where one plane explains all, and not below", () => {
    expect(told(shown(plane.value - 0.01, 0))).toEqual([]);
    expect(told(shown(plane.value, 0))).toMatchObject([
      { message: expect.stringContaining("from one place") },
    ]);
  });

  test("what moves is a walk past something flat", () => {
    expect(told(shown(plane.value, moved.value))).toMatchObject([
      { message: expect.stringContaining("past a flat thing") },
    ]);
  });

  test("nothing is said of photos that are not joined", () => {
    expect(noParallax.judge(facts(photos, { pairs: [] }), noParallax.limits)).toMatchObject({
      findings: [],
      skipped: [{ photos: [] }],
    });
  });
});

describe("mirrored-photos", () => {
  const tiles = (seed: number, flipped: boolean) => {
    const row = [0, 1].flatMap((y) => {
      const own = Array.from({ length: 6 }, (_, x) => 2 ** (1 + ((7 * x * (seed + 1) + 5 * y + seed) % 11)));
      return flipped ? own.toReversed() : own;
    });
    return {
      columns: 6,
      rows: 2,
      laplacianVariance: row,
      bandRatio: row,
      clippedAnyRatio: row,
      noiseSigma: row,
    };
  };
  const told = (about: Facts) => mirroredPhotos.judge(about, mirroredPhotos.limits).findings;

  test("told of photos beside their mirror images, and of nothing else", () => {
    const set = (flipped: boolean) =>
      facts(photos.map((one, i) => ({ ...one, tiles: tiles(i % 10, flipped && i >= 10) })));
    expect(told(set(true))).toMatchObject([{ whatItIs: "alone", photos: { length: expect.any(Number) } }]);
    expect(told(set(false))).toEqual([]);
  });

  test("photos that are symmetric in themselves are no mirror images", () => {
    const even = { ...tiles(0, false), laplacianVariance: [1, 2, 3, 3, 2, 1, 8, 9, 9, 9, 9, 8] };
    expect(told(facts(photos.map((one) => ({ ...one, tiles: even }))))).toEqual([]);
  });
});

describe("separate-parts", () => {
  /** Chains of photos with nothing between them. */
  const chains = (...sizes: readonly number[]) => {
    const all = jugNames(sizes.reduce((sum, size) => sum + size, 0));
    let at = 0;
    const pairs = sizes.flatMap((size) => {
      const own = all.slice(at, at + size);
      at += size;
      return own.slice(1).map((b, i) => pair(own[i]!, b));
    });
    return facts(
      all.map((file) => photo(file)),
      { pairs },
    );
  };
  const told = (...sizes: readonly number[]) =>
    separateParts.judge(chains(...sizes), separateParts.limits).findings.map(({ message }) => message);

  test("one chain is one thing, a few photos beside it are for stray-photo", () => {
    expect(told(20)).toEqual([]);
    expect(told(20, separateParts.limits.photos.value - 1)).toEqual([]);
  });

  test("two large groups, and which photos belong to which", () => {
    expect(told(12, 8)).toEqual([
      "The photos fall into 2 groups that share nothing: 12 photos (jug_001.jpg to jug_012.jpg), and 8 photos (jug_013.jpg to jug_020.jpg).",
    ]);
    const [finding] = separateParts.judge(chains(12, 8), separateParts.limits).findings;
    expect(finding!.groups!.map(({ length }) => length)).toEqual([12, 8]);
    expect(finding!.advice).toContain("between jug_012.jpg and jug_013.jpg");
    // What single photos lack is told too where most of them are one group, which stays.
    expect(finding!.whatItIs).toBe("first");
    expect(separateParts.judge(chains(10, 10), separateParts.limits).findings[0]!.whatItIs).toBe("alone");
  });

  test("many small groups are that many things", () => {
    expect(told(3, 3, 3, 3, 3, 3)).toEqual([
      "These are 6 things, 3 photos each: the groups share nothing with one another.",
    ]);
    expect(told(4, 3, 3, 2)[0]).toContain("4 things, 2 to 4 photos each");
  });

  test("photos that nothing joins are of different things", () => {
    expect(told(...Array.from({ length: 20 }, () => 1))[0]).toContain("different things");
  });

  test("half a set that links, and the rest to nothing", () => {
    expect(told(10, ...Array.from({ length: 10 }, () => 1))).toEqual([
      "Only 10 of 20 photos show one thing; the others share nothing with them.",
    ]);
  });
});

describe("one-side", () => {
  const walked = (spanDeg: number, wanted = 360) =>
    factsAround(standsAt(azimuths(10, 0, spanDeg), 20), { spanDeg: wanted });
  const told = (about: Facts) => oneSide.judge(about, oneSide.limits).findings;
  const most = 360 - oneSide.limits.unseen.value;

  test("names --span where a side was never seen, and asks for no photos", () => {
    const [finding] = told(walked(most - 20));
    expect(finding).toMatchObject({ whatItIs: "first", severity: "reshoot" });
    expect(finding!.advice).toMatch(/--span \d+0:/);
    expect(finding).not.toHaveProperty("toAdd");
    expect(judge(walked(most - 20)).findings.map(({ check }) => check)).not.toContain("open-ring");
  });

  test("not where more was seen, nor where less is wanted", () => {
    expect(told(walked(most + 20))).toEqual([]);
    expect(told(walked(120, 120))).toEqual([]);
  });
});

describe("what is wrong with most photos is said of the set", () => {
  test("thumbnails", () => {
    const side = Math.sqrt(fewPixels.limits.least.value * 1e6);
    const sized = (factor: number) =>
      fewPixels.judge(
        facts(photos.map((one) => ({ ...one, widthPx: factor * side, heightPx: side }))),
        fewPixels.limits,
      ).findings;
    expect(sized(1.01)).toMatchObject([{ severity: "note" }]);
    expect(sized(0.99)).toMatchObject([{ severity: "reshoot", whatItIs: "alone" }]);
  });

  test("noise: more than half of the photos over the limit", () => {
    const noisy = (number: number) =>
      noisyPhoto.judge(
        facts(
          names.map((file, i) =>
            photo(
              file,
              i < number
                ? { measures: { noiseSigma: m(noisyPhoto.limits.sigma.value + 1, "grey levels") } }
                : {},
            ),
          ),
        ),
        noisyPhoto.limits,
      ).findings;
    expect(noisy(10).map(({ severity }) => severity)).toEqual(Array.from({ length: 10 }, () => "note"));
    expect(noisy(11)).toMatchObject([{ severity: "reshoot", whatItIs: "alone", anew: true }]);
  });

  test("black or burnt out photos: the set is spoken of, and not each of them", () => {
    const dark = (number: number) =>
      judge(
        facts(
          names.map((file, i) =>
            photo(
              file,
              i < number
                ? { measures: { blockedRatio: m(0.95, "ratio"), meanLuminanceStops: m(-9, "stops") } }
                : {},
            ),
          ),
        ),
      );
    expect(dark(10).whatItIs?.check).not.toBe("blocked-photo");
    expect(dark(11)).toMatchObject({
      verdict: "reshoot",
      anew: true,
      whatItIs: { check: "blocked-photo", message: "The photos are too dark: 11 of 20 drown in black." },
    });
    expect(dark(11).findings).toHaveLength(1);
  });
});
