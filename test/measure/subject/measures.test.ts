import { describe, expect, test } from "vitest";
import { createFeatures } from "#goodgate/measure/features/features.js";
import { codeOfEnergy, codeOfLight, createCells } from "#goodgate/measure/photo/cells.js";
import type { SubjectRegion } from "#goodgate/measure/subject/cover.js";
import { innerCells, keypointShares } from "#goodgate/measure/subject/cover.js";
import { framingOf } from "#goodgate/measure/subject/framing.js";
import { type MeasuredCells, measureSubject } from "#goodgate/measure/subject/measures.js";
import { detailOffsets } from "#goodgate/measure/subject/offsets.js";
import { heldRegion } from "#goodgate/measure/subject/region.js";
import type { Features } from "#goodgate/types/photo.js";

const [columns, rows] = [80, 60];

/** A region of cells [left, right) x [top, bottom). */
function box(left: number, top: number, right: number, bottom: number): SubjectRegion {
  const share = new Float32Array(columns * rows);
  for (let row = top; row < bottom; row++) share.fill(1, row * columns + left, row * columns + right);
  return { columns, rows, share, confidence: 0.9, source: "geometry" };
}

/** A photo of even light whose cells inside and outside a region differ as named. */
function photo(
  region: SubjectRegion,
  inside: { light?: number; saturated?: number; fine?: number; mid?: number },
  outside: typeof inside = {},
): MeasuredCells {
  const cells = createCells(columns, rows);
  for (let cell = 0; cell < columns * rows; cell++) {
    const { light = 0.2, saturated = 0, fine = 4, mid = 16 } = region.share[cell]! >= 0.5 ? inside : outside;
    for (const channel of [cells.red, cells.green, cells.blue]) channel[cell] = codeOfLight(light);
    cells.saturated[cell] = Math.round(255 * saturated);
    cells.fine[cell] = codeOfEnergy(fine);
    cells.mid[cell] = codeOfEnergy(mid);
  }
  const tiles = 12 * 9;
  return {
    features: createFeatures(0, 1200, 900),
    cells,
    tiles: {
      columns: 12,
      rows: 9,
      laplacianVariance: Array.from({ length: tiles }, (_, tile) => tile),
      bandRatio: new Array<number>(tiles).fill(0.3),
      clippedAnyRatio: new Array<number>(tiles).fill(0),
      noiseSigma: Array.from({ length: tiles }, (_, tile) => 3 + (tile % 12)),
    },
  };
}

describe("the subject's measures", () => {
  const region = box(30, 15, 50, 45);

  test("light, clipping and blocking are those of its own cells", () => {
    const own = measureSubject(
      photo(region, { light: 0.25 }, { light: 1, saturated: 1 }),
      region,
      framingOf(region),
    );
    expect(own.meanLuminanceStops?.value).toBeCloseTo(-2, 2);
    expect(own.clippedRatio?.value).toBe(0);
    const burnt = measureSubject(photo(region, { light: 0.8, saturated: 0.6 }), region, framingOf(region));
    expect(burnt.clippedRatio?.value).toBeCloseTo(0.6, 2);
    expect(burnt.blockedRatio?.value).toBe(0);
    const sunk = measureSubject(photo(region, { light: 0.001, saturated: 0.7 }), region, framingOf(region));
    expect(sunk.blockedRatio?.value).toBeCloseTo(0.7, 2);
    expect(sunk.clippedRatio?.value).toBe(0);
  });

  test("a cell that clips in one channel alone is not burnt out", () => {
    const red = photo(region, { light: 0.9, saturated: 1 });
    red.cells.green.fill(codeOfLight(0.2));
    red.cells.blue.fill(codeOfLight(0.1));
    expect(measureSubject(red, region, framingOf(region)).clippedRatio?.value).toBe(0);
  });

  test("sharpness is its own, and that of the background the background's", () => {
    const own = measureSubject(
      photo(region, { fine: 2, mid: 16 }, { fine: 8, mid: 16 }),
      region,
      framingOf(region),
    );
    expect(own.bandRatio?.value).toBeCloseTo(2 / 16, 2);
    expect(own.backgroundBandRatio?.value).toBeCloseTo(8 / 16, 2);
  });

  test("a flat subject has no band ratio and no texture", () => {
    const own = measureSubject(photo(region, { fine: 0, mid: 0 }), region, framingOf(region));
    expect(own.bandRatio).toBeUndefined();
    expect(own.textureRatio?.value).toBe(0);
  });

  test("contrast of texture is that of linear light, from band energies in code values", () => {
    // Luminance 0.2 is about code 255 * 0.2^(1/2.2) = 122.7; 2.2 * sqrt(4 + 21) / 122.7 = 0.0897.
    const own = measureSubject(photo(region, { fine: 4, mid: 21 }), region, framingOf(region));
    expect(own.textureRatio?.value).toBeCloseTo(0.0897, 2);
  });

  test("tiles count that lie mostly on it; noise is that of the quietest", () => {
    // Columns 30 to 50 of 80 are tiles 4.5 to 7.5 of 12: tiles 5 and 6 lie on it whole, 4 and 7 by half.
    // Rows 15 to 45 of 60 are tiles 2.25 to 6.75 of 9: rows 3 to 5 whole, 2 and 6 by three quarters.
    const own = measureSubject(photo(region, {}), region, framingOf(region));
    const middle = 4 * 12 + 5.5;
    expect(own.laplacianVariance?.value).toBeCloseTo(middle, 0);
    expect(own.noiseSigma?.value).toBe(3 + 5);
  });

  test("keypoints on it are counted, and cells far from any are bare", () => {
    const features = createFeatures(2, 1200, 900);
    // One in the middle of the region, one outside.
    features.x.set([600, 30]);
    features.y.set([450, 30]);
    const own = measureSubject({ ...photo(region, {}), features }, region, framingOf(region));
    expect(own.keypoints.value).toBe(1);
    // A circle of 2.5 cells holds 20 or so of the 18 x 28 inner cells.
    expect(own.bareRatio?.value).toBeGreaterThan(0.94);
    expect(own.bareRatio?.value).toBeLessThan(0.98);
  });
});

describe("cells and keypoints of a region", () => {
  test("inner cells leave out the rim", () => {
    const { share } = box(10, 10, 20, 20);
    expect(innerCells(columns, rows, (cell) => share[cell]! >= 0.5)).toHaveLength(64);
  });

  test("a region too thin to have any keeps all its cells", () => {
    const { share } = box(10, 10, 12, 30);
    expect(innerCells(columns, rows, (cell) => share[cell]! >= 0.5)).toHaveLength(40);
  });

  test("a keypoint has the share of the cell it lies in", () => {
    const features = createFeatures(2, 1200, 900);
    features.x.set([7 * 15 + 7, 1199]);
    features.y.set([3 * 15 + 7, 899]);
    const region = box(7, 3, 8, 4);
    expect([...keypointShares(features, region)]).toEqual([1, 0]);
  });

  test("area and box of a region", () => {
    expect(framingOf(box(20, 10, 40, 40))).toEqual({ areaRatio: 600 / 4800, sideRatio: 30 / 60 });
    expect(framingOf(box(0, 0, 0, 0))).toEqual({ areaRatio: 0, sideRatio: 0 });
  });
});

describe("one photo against the others", () => {
  /** Forty keypoints in a row of the region and forty outside; their patches have this fine energy. */
  function photoOf(onFine: number, offFine: number): Features {
    const features = createFeatures(80, 1200, 900);
    for (let k = 0; k < 80; k++) {
      features.x[k] = k < 40 ? 480 + 5 * k : 20 + 5 * (k - 40);
      features.y[k] = k < 40 ? 450 : 30;
      features.patches.set([0.2, 0.2, 0.2, 0, k < 40 ? onFine : offFine, 16], 6 * k);
    }
    return features;
  }
  const all = Int32Array.from({ length: 160 }, (_, i) => i >> 1);
  const regions = [0, 1, 2].map(() => heldRegion(box(30, 15, 50, 45)));
  const pairs = [
    { i: 0, j: 1, inliers: all },
    { i: 1, j: 2, inliers: all },
    { i: 0, j: 2, inliers: all },
  ];

  test("a subject two stops softer shows, whatever is around it", () => {
    const features = [photoOf(8, 8), photoOf(2, 8), photoOf(8, 8)];
    expect(detailOffsets((k) => features[k]!, regions, pairs)[1]).toBeCloseTo(-2, 2);
  });

  test("photos whose sharpness may not be compared give none", () => {
    const features = [photoOf(8, 8), photoOf(2, 8), photoOf(8, 8)];
    const apart = pairs.map((pair) => ({ ...pair, comparable: false }));
    expect(detailOffsets((k) => features[k]!, regions, apart)[1]).toBeUndefined();
  });
});
