import { describe, expect, it } from "vitest";
import { cleanDemo, planSet, renderLinear, spoil } from "#goodgate/demo/index.js";
import { measurePair } from "#goodgate/measure/pair/pair.js";
import { measurePhoto } from "#goodgate/measure/photo/photo.js";
import { median } from "#goodgate/measure/statistics.js";
import type { Features } from "#goodgate/types/photo.js";

/** Four neighbours 15 degrees apart, developed with a known change of exposure in linear light. */
const plan = planSet({
  ...cleanDemo,
  widthPx: 1024,
  heightPx: 768,
  rings: [{ elevationDeg: 25, photos: 24, startDeg: 0, spanDeg: 360 }],
});
const clean = [0, 1, 2, 3].map((index) => renderLinear(plan, index).image);

function features(index: number, stops: number): Features {
  const own = { iso: 125, softnessPx: 0, exposureStops: stops, noiseSeed: 100 + index };
  return measurePhoto(spoil(clean[index], [], own), 1).features;
}

describe("exposure drift between neighbours, in linear light", () => {
  const unchanged = clean.map((_, index) => features(index, 0));
  const drift = (a: Features, b: Features) => measurePair(a, b, 1).facts.exposureDriftStops ?? Number.NaN;

  it("unchanged neighbours are within 0.06 stop", () => {
    for (let i = 1; i < unchanged.length; i++) {
      expect(Math.abs(drift(unchanged[i - 1], unchanged[i]))).toBeLessThan(0.06);
    }
  });

  it("known changes of half a stop and one stop come back: median within 0.03, worst within 0.08", () => {
    const errors = [-1, -0.5, 0.5, 1].flatMap((stops) =>
      [1, 2, 3].map((i) => Math.abs(drift(unchanged[i - 1], features(i, stops)) - stops)),
    );
    expect(median(errors)).toBeLessThan(0.03);
    expect(Math.max(...errors)).toBeLessThan(0.08);
  });
});
