import { describe, expect, it } from "vitest";
import {
  airyDiameterMm,
  airyDiameterPx,
  hyperfocalMm,
  sensorScale,
  sharpRange,
  sharpRangeOf,
  subjectDepthMm,
} from "#goodgate/measure/light/optics.js";

describe("depth of field", () => {
  it("of 50 mm at f/8 focused at 2 m is 1684.6 to 2460.6 mm", () => {
    // Worked by hand from Greenleaf's formulas with c = 0.03: H = 2500 / 0.24 + 50.
    expect(hyperfocalMm(50, 8, 0.03)).toBeCloseTo(10466.7, 1);
    const { nearMm, farMm } = sharpRange(50, 8, 0.03, 2000);
    expect(nearMm).toBeCloseTo(1684.6, 1);
    expect(farMm).toBeCloseTo(2460.6, 1);
  });

  it("of 50 mm at f/8 focused at 0.5 m is 479.3 to 522.6 mm", () => {
    const { nearMm, farMm } = sharpRange(50, 8, 0.03, 500);
    expect(nearMm).toBeCloseTo(479.3, 1);
    expect(farMm).toBeCloseTo(522.6, 1);
  });

  it("of a phone at 300 mm is about 262 to 351 mm", () => {
    // 4.25 mm, f/1.8, c = 0.0049 mm: H = 18.0625 / 0.00882 + 4.25 = 2052.2.
    expect(hyperfocalMm(4.25, 1.8, 0.0049)).toBeCloseTo(2052.2, 1);
    const range = sharpRangeOf({ focalLengthMm: 4.25, focalLength35Mm: 26, fNumber: 1.8 }, 300);
    expect(range.nearMm).toBeCloseTo(262.1, 0);
    expect(range.farMm).toBeCloseTo(350.7, 0);
  });

  it("close up is 2 N c (m + 1) / m^2, the textbook's macro formula", () => {
    // Magnification 1/9 with 50 mm: s = f (1 + 1 / m) = 500 mm; 2 * 8 * .03 * (10 / 9) * 81 = 43.2 mm.
    const { nearMm, farMm } = sharpRange(50, 8, 0.03, 500);
    expect(farMm - nearMm).toBeCloseTo(43.2, 0);
  });

  it("has no end from the hyperfocal distance on, and starts at half of it there", () => {
    const hyperfocal = hyperfocalMm(50, 8, 0.03);
    const { nearMm, farMm } = sharpRange(50, 8, 0.03, hyperfocal);
    expect(farMm).toBe(Number.POSITIVE_INFINITY);
    expect(nearMm).toBeCloseTo(hyperfocal / 2, 6);
  });
});

describe("diffraction", () => {
  it("spreads a point over 10.7 micrometres at f/8 and 21.5 at f/16", () => {
    expect(1000 * airyDiameterMm(8)).toBeCloseTo(10.7, 1);
    expect(1000 * airyDiameterMm(16)).toBeCloseTo(21.5, 1);
  });

  it("is 5 px of a full frame of 8368 x 5584 at f/16, whose pixels are 4.3 micrometres", () => {
    const full = { focalLengthMm: 50, focalLength35Mm: 50, fNumber: 16 };
    expect(airyDiameterPx(full, 8368, 5584)).toBeCloseTo(4.99, 1);
  });

  it("is 1.7 px of a phone with 1.4 micrometre pixels at f/1.8", () => {
    // 4032 x 3024 px of 1.4 micrometres: a diagonal of 7.056 mm, 0.1631 of a full frame's.
    const phone = { focalLengthMm: 4.24, focalLength35Mm: 26, fNumber: 1.8 };
    expect(sensorScale(phone)).toBeCloseTo(0.1631, 3);
    expect(airyDiameterPx(phone, 4032, 3024)).toBeCloseTo(1.73, 2);
  });
});

describe("the subject's depth", () => {
  it("is half the width of a disc that fills as much of the frame", () => {
    // 50 mm on a full frame of 3600 x 2400 px: 5000 px. A disc of radius 500 px at 1 m is 100 mm in radius.
    const areaRatio = (Math.PI * 500 ** 2) / (3600 * 2400);
    expect(subjectDepthMm(areaRatio, { focalLength35Mm: 50 }, 3600, 2400, 1000)).toBeCloseTo(100, 6);
  });
});
