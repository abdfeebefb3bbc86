import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { measurePhoto } from "#goodgate/measure/photo/photo.js";
import { shrink } from "#goodgate/measure/photo/resample.js";
import { BLOCKED_CODE, CLIPPED_CODE, LINEAR_OF_CODE } from "#goodgate/measure/photo/tone.js";
import { turnUpright, uprightIndexes, uprightSize } from "#goodgate/measure/photo/upright.js";
import type { RgbImage } from "#goodgate/types/pixels.js";
import { rgb, seededNormal, seededRandom } from "../../support/arrays.js";

/** A busy picture with edges, texture, noise and a burnt-out corner. */
function scene(width: number, height: number, seed: number): RgbImage {
  const random = seededRandom(seed);
  const normal = seededNormal(seed + 1);
  const waves = Array.from({ length: 24 }, () => {
    const k = 0.05 + 1.4 * random() ** 2;
    const angle = 2 * Math.PI * random();
    return [k * Math.cos(angle), k * Math.sin(angle), 6.28 * random(), 4 + 10 * random()] as const;
  });
  return rgb(width, height, (x, y) => {
    let v = 120 + (x > width / 3 && x < width / 2 ? 50 : 0);
    for (const [kx, ky, phase, amplitude] of waves) v += amplitude * Math.sin(kx * x + ky * y + phase);
    if (x > 0.85 * width && y < 0.2 * height) v = 300;
    const cut = (c: number) => Math.max(0, Math.min(255, Math.round(c + 2 * normal())));
    return [cut(v * 1.05), cut(v), cut(v * 0.9)];
  });
}

/** Stores an upright picture so that EXIF orientation `o` shows it upright again. */
function store(upright: RgbImage, o: number): RgbImage {
  const [width, height] = uprightSize(upright.width, upright.height, o);
  const indexes = uprightIndexes(width, height, o);
  const data = new Uint8Array(upright.data.length);
  for (let i = 0; i < indexes.length; i++) {
    for (let c = 0; c < 3; c++) data[3 * i + c] = upright.data[3 * indexes[i] + c];
  }
  return { width, height, data };
}

describe("measures of a photo", () => {
  it("gives equal measures in all eight orientations", () => {
    const upright = scene(360, 240, 3);
    const expected = measurePhoto(upright, 1);
    for (let o = 2; o <= 8; o++) {
      const found = measurePhoto(store(upright, o), o);
      expect(found.widthPx).toBe(360);
      expect(found.heightPx).toBe(240);
      for (const [name, measure] of Object.entries(expected.measures)) {
        const value = found.measures[name as keyof typeof found.measures]?.value;
        expect(value, `${name} in orientation ${o}`).toBeCloseTo(measure.value, 9);
      }
      expect(found.features.x).toEqual(expected.features.x);
      for (const [i, value] of expected.tiles.laplacianVariance.entries()) {
        expect(found.tiles.laplacianVariance[i]).toBeCloseTo(value, 9);
      }
      expect(found.tiles.bandRatio).toEqual(expected.tiles.bandRatio);
    }
  });

  it("an orientation outside 1 to 8 counts as upright", () => {
    const picture = scene(120, 90, 4);
    expect(measurePhoto(picture, 0).measures).toEqual(measurePhoto(picture, 1).measures);
  });

  it("a blank photo has no band ratio, no noise that is made up, and no keypoints", () => {
    const { measures } = measurePhoto(
      rgb(200, 150, () => [118, 118, 118]),
      1,
    );
    expect(measures.laplacianVariance.value).toBe(0);
    expect(measures.bandRatio).toBeUndefined();
    expect(measures.sharpestBandRatio).toBeUndefined();
    expect(measures.noiseSigma?.value).toBe(0);
    expect(measures.keypoints.value).toBe(0);
    // IEC 61966-2-1: code 118 is .181164 of white.
    expect(measures.meanLuminanceStops.value).toBeCloseTo(Math.log2(0.181164), 4);
    expect(measures.redGreenStops.value).toBeCloseTo(0, 12);
  });

  it("a white photo is clipped throughout, and its noise is not measured", () => {
    const { measures } = measurePhoto(
      rgb(128, 96, () => [255, 255, 255]),
      1,
    );
    expect(measures.clippedAllRatio.value).toBe(1);
    expect(measures.clippedCentreRatio.value).toBe(1);
    expect(measures.noiseSigma).toBeUndefined();
  });

  it("yellow that clips in red and green is not burnt out while blue still holds detail", () => {
    const size = { width: 80, height: 64 };
    const coloured = (blue: number) => {
      const data = Uint8Array.from({ length: 3 * 80 * 64 }, (_, i) => (i % 3 === 2 ? blue : 255));
      return measurePhoto({ ...size, data }, 1).measures;
    };
    expect(coloured(90).clippedCentreRatio.value).toBe(0);
    expect(coloured(90).clippedAnyRatio.value).toBe(1);
    expect(coloured(230).clippedCentreRatio.value).toBe(1);
  });

  it("counts clipped pixels in any channel, in all, and blocked ones, at the code limits", () => {
    const { measures } = measurePhoto(
      rgb(100, 100, (x) =>
        x < 10
          ? [CLIPPED_CODE, 0, 0]
          : x < 30
            ? [255, CLIPPED_CODE, 251]
            : x < 35
              ? [BLOCKED_CODE, 0, 0]
              : [CLIPPED_CODE - 1, BLOCKED_CODE + 1, 9],
      ),
      1,
    );
    expect(measures.clippedAnyRatio.value).toBeCloseTo(0.3, 12);
    expect(measures.clippedAllRatio.value).toBeCloseTo(0.2, 12);
    expect(measures.blockedRatio.value).toBeCloseTo(0.05, 12);
  });

  it("more blur never scores sharper", () => {
    let last = Number.POSITIVE_INFINITY;
    for (const sigma of [0, 0.7, 1.2, 2, 3]) {
      const ratio = measurePhoto(blurred(scene(480, 360, 9), sigma), 1).measures.bandRatio?.value ?? 0;
      expect(ratio).toBeLessThan(last);
      last = ratio;
    }
  });

  it("refuses a picture too small to measure, and says what it expected", () => {
    expect(() =>
      measurePhoto(
        rgb(63, 400, () => [0, 0, 0]),
        1,
      ),
    ).toThrow(/at least 64 px.*found 63 x 400/);
  });
});

describe("sRGB", () => {
  it("decodes as IEC 61966-2-1 says", () => {
    const published: [number, number][] = [
      [10, 0.003035],
      [11, 0.003347],
      [118, 0.181164],
      [128, 0.215861],
      [188, 0.502886],
      [250, 0.955973],
    ];
    for (const [code, linear] of published) expect(LINEAR_OF_CODE[code]).toBeCloseTo(linear, 6);
  });
});

describe("upright", () => {
  it("orientation 6 is a quarter turn clockwise: the stored top left comes to the top right", () => {
    const stored = rgb(3, 2, (x, y) => [x, y, 0]);
    const upright = turnUpright(stored, 6);
    expect([upright.width, upright.height]).toEqual([2, 3]);
    expect([...upright.data.slice(3, 6)]).toEqual([0, 0, 0]);
    // Orientation 8: the stored top left comes to the bottom left.
    expect([...turnUpright(stored, 8).data.slice(3 * 2 * 2, 3 * 2 * 2 + 3)]).toEqual([0, 0, 0]);
  });

  it("turns pixels as it turns indexes", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 7 }),
        fc.integer({ min: 1, max: 7 }),
        fc.integer({ min: 1, max: 8 }),
        (w, h, o) => {
          const stored = rgb(w, h, (x, y) => [x, y, 7]);
          const upright = turnUpright(stored, o);
          const indexes = uprightIndexes(w, h, o);
          for (let i = 0; i < w * h; i++) {
            expect(upright.data[3 * indexes[i]]).toBe(stored.data[3 * i]);
            expect(upright.data[3 * indexes[i] + 1]).toBe(stored.data[3 * i + 1]);
          }
        },
      ),
    );
  });
});

describe("area average", () => {
  it("by hand: 4 x 2 to 2 x 1 is the mean of 2 x 2", () => {
    const small = shrink(
      rgb(4, 2, (x, y) => [10 * x + y, 0, 255]),
      3,
      2,
    );
    expect([...small.data]).toEqual([6, 0, 255, 26, 0, 255]);
  });

  it("keeps the mean within rounding, for odd ratios too", () => {
    const random = seededRandom(2);
    const picture = rgb(
      331,
      97,
      () => [255 * random(), 255 * random(), 255 * random()].map(Math.floor) as never,
    );
    const small = shrink(picture, 3, 120);
    const mean = (data: Uint8Array) => data.reduce((a, b) => a + b, 0) / data.length;
    expect(small.width).toBe(120);
    expect(Math.abs(mean(small.data) - mean(picture.data))).toBeLessThan(0.05);
  });

  it("does not enlarge", () => {
    const picture = rgb(20, 10, () => [1, 2, 3]);
    expect(shrink(picture, 3, 40)).toBe(picture);
  });
});

function blurred(picture: RgbImage, sigma: number): RgbImage {
  if (sigma === 0) return picture;
  const radius = Math.ceil(4 * sigma);
  const taps = Array.from({ length: 2 * radius + 1 }, (_, i) =>
    Math.exp(-((i - radius) ** 2) / (2 * sigma * sigma)),
  );
  const sum = taps.reduce((a, b) => a + b, 0);
  const { width, height } = picture;
  const pass = (data: ArrayLike<number>, dx: number, dy: number) => {
    const out = new Float64Array(data.length);
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        for (let k = -radius; k <= radius; k++) {
          const u = Math.max(0, Math.min(width - 1, x + k * dx));
          const v = Math.max(0, Math.min(height - 1, y + k * dy));
          for (let c = 0; c < 3; c++) {
            const at = 3 * (y * width + x) + c;
            out[at] += (taps[k + radius] / sum) * data[3 * (v * width + u) + c];
          }
        }
      }
    }
    return out;
  };
  return { width, height, data: Uint8Array.from(pass(pass(picture.data, 1, 0), 0, 1), Math.round) };
}
