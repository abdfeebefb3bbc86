import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { roundFacts, roundNumber } from "#goodgate/measure/set/round.js";
import { facts, m, pair, photo } from "../../support/facts.js";

describe("roundNumber", () => {
  test("keeps six significant digits", () => {
    expect(roundNumber(1234567.8)).toBe(1234570);
    expect(roundNumber(-0.000123456789)).toBe(-0.000123457);
    expect(roundNumber(0)).toBe(0);
    expect(Object.is(roundNumber(-0), 0)).toBe(true);
  });

  test("rounding twice changes nothing, and JSON gives the number back", () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) => {
        const once = roundNumber(value);
        expect(roundNumber(once)).toBe(once);
        expect(JSON.parse(JSON.stringify(once))).toBe(once);
        expect(Math.abs(once - value)).toBeLessThanOrEqual(Math.abs(value) * 5.0001e-6 + Number.MIN_VALUE);
      }),
      { seed: 11 },
    );
  });
});

describe("roundFacts", () => {
  const third = 1 / 3;
  const rough = facts(
    [
      photo("a.jpg", {
        exif: { exposureTimeS: third, iso: 204800, capturedAt: "2026-05-01T14:03:22", hasLocation: false },
        measures: { noiseSigma: m(third, "grey levels") },
        tiles: {
          columns: 1,
          rows: 2,
          laplacianVariance: [third, 2],
          bandRatio: [null, third],
          clippedAnyRatio: [0, third],
          noiseSigma: [third, 2],
        },
      }),
      photo("b.jpg"),
    ],
    {
      pairs: [
        pair("a.jpg", "b.jpg", {
          verifiedMatches: 1234567,
          overlapRatio: third,
          colourDrift: { redStops: third, blueStops: -third },
        }),
      ],
    },
  );

  test("reaches every measured number: measures, EXIF, tiles, pairs", () => {
    const { photos, pairs } = roundFacts(rough);
    expect(photos[0]!.measures.noiseSigma).toEqual(m(0.333333, "grey levels"));
    expect(photos[0]!.exif.exposureTimeS).toBe(0.333333);
    expect(photos[0]!.tiles).toMatchObject({
      laplacianVariance: [0.3333, 2],
      bandRatio: [null, 0.3333],
      clippedAnyRatio: [0, 0.3333],
      noiseSigma: [0.3333, 2],
    });
    expect(pairs[0]).toMatchObject({
      overlapRatio: 0.333333,
      colourDrift: { redStops: 0.333333, blueStops: -0.333333 },
    });
  });

  test("reaches the light, and brings a dark side that rounds up to a whole turn back to the start", () => {
    const { light } = roundFacts({
      ...rough,
      light: {
        exposureSource: "exif",
        photos: [{ file: "a.jpg", subjectStops: -third, airyDiameterPx: third }, { file: "b.jpg" }],
        falloff: {
          falloffStops: third,
          oneSidedStops: third,
          twoSidedStops: third,
          darkSideDeg: 359.99996,
          darkPhotos: ["a.jpg"],
          binStops: [third, null],
        },
        step: { before: "a.jpg", after: "b.jpg", stops: third },
      },
    });
    expect(light).toEqual({
      exposureSource: "exif",
      photos: [{ file: "a.jpg", subjectStops: -0.333333, airyDiameterPx: 0.333333 }, { file: "b.jpg" }],
      falloff: {
        falloffStops: 0.333333,
        oneSidedStops: 0.333333,
        twoSidedStops: 0.333333,
        darkSideDeg: 0,
        darkPhotos: ["a.jpg"],
        binStops: [0.333333, null],
      },
      step: { before: "a.jpg", after: "b.jpg", stops: 0.333333 },
    });
  });

  test("leaves counts, sizes, names and what is absent alone", () => {
    const { photos, pairs } = roundFacts(rough);
    expect(pairs[0]!.verifiedMatches).toBe(1234567);
    expect(photos[0]!.exif.iso).toBe(204800);
    expect(photos[0]!.exif).not.toHaveProperty("fNumber");
    expect(photos[0]!.widthPx).toBe(4032);
  });

  test("changes nothing the second time", () => {
    expect(roundFacts(roundFacts(rough))).toEqual(roundFacts(rough));
  });
});
