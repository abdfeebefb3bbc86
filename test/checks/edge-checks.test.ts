import { describe, expect, test } from "vitest";
import { limitsOf } from "#goodgate/checks/define.js";
import { softPhoto } from "#goodgate/checks/soft-photo.js";
import { strayPhoto } from "#goodgate/checks/stray-photo.js";
import { edgeBlurs, edgeWidthsOfSet, shakeLengthPx } from "#goodgate/measure/set/edge-blur.js";
import type { Facts, PhotoFacts } from "#goodgate/types/facts.js";
import type { EdgeWidths } from "#goodgate/types/photo.js";
import { facts, jugNames, m, pair, photo } from "../support/facts.js";

const SHARP: EdgeWidths = [0.2, 0.2, 0.3, 0.2, 0.4, 0.3, 0.2, 0.2];
const widest = (px: number, narrow = 0.2): EdgeWidths => SHARP.map((_, k) => (k === 0 ? px : narrow));

/** Twelve photos, each linked to the next; the sixth has its own edges, and no links where it is lone. */
function jugs(own: EdgeWidths | undefined, { others = SHARP, lone = false } = {}): Facts {
  const names = jugNames(12);
  const photos = names.map((file, i): PhotoFacts => {
    const plain = photo(file);
    const alone = lone && i === 5;
    const { edgeWidthsPx: _, ...rest } = plain;
    const edges = i === 5 ? own : others;
    const measures = {
      ...plain.measures,
      comparedPhotos: m(11, "photos"),
      linkedPhotos: m(alone ? 0 : 2, "photos"),
    };
    return { ...rest, measures, ...(edges && { edgeWidthsPx: edges }) };
  });
  const kept = names.flatMap((a, i) => (lone && i === 5 ? [] : [{ a, i }]));
  const pairs = kept.slice(1).map(({ a }, k) => pair(kept[k]!.a, a));
  return facts(photos, { pairs });
}

const soft = (about: Facts) =>
  softPhoto.judge(about, limitsOf([softPhoto])["soft-photo"] as typeof softPhoto.limits);
const stray = (about: Facts) =>
  strayPhoto.judge(about, limitsOf([strayPhoto])["stray-photo"] as typeof strayPhoto.limits);

describe("blur by edges", () => {
  test("an edge as wide as the limit is a fault, one under it is none", () => {
    expect(soft(jugs(widest(1.02))).findings).toHaveLength(1);
    expect(soft(jugs(widest(1.01))).findings).toHaveLength(0);
  });

  test("is usable where nothing better shows the view, until edges or detail are spoilt", () => {
    const { spoilt } = softPhoto.limits;
    expect(soft(jugs(widest(spoilt.value - 0.01))).findings).toMatchObject([{ usable: true }]);
    expect(soft(jugs(widest(spoilt.value))).findings).toMatchObject([{ usable: false }]);
  });

  test("is not usable where it links to far fewer photos than the others do", () => {
    const linking = (own: number): Facts => {
      const about = jugs(widest(1.2));
      const links = (value: number) => ({ linkedPhotos: { value, unit: "photos" as const } });
      return {
        ...about,
        photos: about.photos.map((one) => ({
          ...one,
          measures: { ...one.measures, ...links(one.file === soft(about).findings[0]!.photos[0] ? own : 10) },
        })),
      };
    };
    expect(soft(linking(6)).findings).toMatchObject([{ usable: true }]);
    expect(soft(linking(5)).findings).toMatchObject([{ usable: false }]);
  });

  test("wide across one direction is shake, said with its way and length", () => {
    const [finding] = soft(jugs(widest(1.43))).findings;
    expect(finding!.message).toMatch(/is shaken: it moved sideways by about 7 px of 1920/);
    expect(finding!.advice).not.toMatch(/focus/);
  });

  test("wide across all directions is out of focus", () => {
    const [finding] = soft(jugs(widest(1.5, 1.3))).findings;
    expect(finding!.message).toMatch(/is out of focus: .* in all directions/);
  });

  test("edges that grew tell with half the variance of the Laplacian, and not without", () => {
    const grown = jugs(widest(0.75));
    const weak = (share: number): Facts => ({
      ...grown,
      photos: grown.photos.map((one, i) =>
        i !== 5
          ? one
          : {
              ...one,
              measures: {
                ...one.measures,
                detailOffsetStops: m(-0.5, "stops"),
                laplacianVariance: m(share * one.measures.laplacianVariance.value, "grey levels squared"),
              },
            },
      ),
    });
    const others = (about: Facts): Facts => ({
      ...about,
      photos: about.photos.map((one) => ({
        ...one,
        measures: { detailOffsetStops: m(0, "stops"), ...one.measures },
      })),
    });
    expect(soft(others(weak(0.5))).findings).toHaveLength(1);
    expect(soft(others(weak(0.6))).findings).toHaveLength(0);
  });

  test("no photo is accused of what all photos around it have", () => {
    expect(soft(jugs(widest(1.2), { others: widest(1.1) })).findings).toHaveLength(0);
  });

  test("a blurred photo that shares nothing is blurred, and no stray", () => {
    const lone = jugs(widest(1.5), { lone: true });
    expect(soft(lone).findings.map(({ photos }) => photos)).toEqual([[lone.photos[5]!.file]]);
    expect(stray(lone).findings).toEqual([]);
  });

  test("a sharp photo that shares nothing is a stray", () => {
    const lone = jugs(SHARP, { lone: true });
    expect(stray(lone).findings.map(({ photos }) => photos)).toEqual([[lone.photos[5]!.file]]);
  });

  test("one that shares nothing and has no edges is not judged", () => {
    const lone = jugs(new Array(8).fill(null), { lone: true });
    expect(stray(lone).findings).toEqual([]);
    expect(stray(lone).skipped.flatMap(({ photos }) => photos)).toEqual([lone.photos[5]!.file]);
  });
});

describe("edge widths of a set", () => {
  test("are the middle values, and unknown in a direction that too few photos know", () => {
    const known = [1, 2, 3, 4, 9].map((px, k) => ({ edgeWidthsPx: [px, k < 2 ? px : null] }));
    expect(edgeWidthsOfSet(known)).toEqual([3, null]);
  });

  test("are unknown where fewer than five photos have edges", () => {
    const none = { edgeWidthsPx: new Array(8).fill(null) };
    expect(edgeWidthsOfSet([none, none, ...new Array(4).fill({ edgeWidthsPx: SHARP })])).toBeUndefined();
  });

  test("a photo without edges has no blur by edges", () => {
    expect(edgeBlurs(jugs(new Array(8).fill(null)))[5]).toBeUndefined();
  });

  test("what is as wide in all directions did not move", () => {
    expect(shakeLengthPx({ widestPx: 2, narrowestPx: 2, direction: 0 })).toBe(0);
  });
});
