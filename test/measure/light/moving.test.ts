import { describe, expect, it } from "vitest";
import { createFeatures, PATCH_FIELDS } from "#goodgate/measure/features/features.js";
import { subjectStops } from "#goodgate/measure/light/brightness.js";
import { movingLight, type Partner } from "#goodgate/measure/light/moving.js";
import { type WarpInput, warpInput } from "#goodgate/measure/light/warp.js";
import { codeOfLight, createCells } from "#goodgate/measure/photo/cells.js";
import { seededRandom } from "../../support/arrays.js";

const COLUMNS = 80;
const ROWS = 60;
const WIDTH = 1200;
const HEIGHT = 900;

/** Places on the surface, in cells of a photo that is not shifted; the subject fills columns 15 to 64, rows 5 to 54. */
const random = seededRandom(5);
const PLACES = Array.from({ length: 300 }, () => [20 + 40 * random(), 6 + 48 * random()] as const);

interface Look {
  /** How far the surface lies to the right in this photo, cells. */
  readonly shift: number;
  /** Light added around a place of the frame, whatever the surface does: a highlight, or a shadow below 0. */
  readonly lobe?: { readonly column: number; readonly radius: number; readonly light: number };
  readonly gain?: number;
}

/** A textured surface that slides through the frame under light that does not. */
function view({ shift, lobe, gain = 1 }: Look): WarpInput {
  const cells = createCells(COLUMNS, ROWS);
  const share = new Float32Array(COLUMNS * ROWS);
  const lightAt = (column: number, row: number): number => {
    const onSurface = column - shift;
    const texture = 0.1 * 2 ** (0.5 * Math.sin(onSurface / 3) * Math.cos(row / 4));
    const far = lobe === undefined ? 1 : Math.hypot(column - lobe.column, row - 30) / lobe.radius;
    return gain * (texture + (lobe === undefined || far >= 1 ? 0 : lobe.light));
  };
  for (let row = 0, cell = 0; row < ROWS; row++) {
    for (let column = 0; column < COLUMNS; column++, cell++) {
      const code = codeOfLight(lightAt(column, row));
      cells.red[cell] = code;
      cells.green[cell] = code;
      cells.blue[cell] = code;
      if (column >= 15 && column < 65 && row >= 5 && row < 55) share[cell] = 1;
    }
  }
  const features = createFeatures(PLACES.length, WIDTH, HEIGHT);
  PLACES.forEach(([column, row], i) => {
    features.x[i] = (column + shift) * 15 - 0.5;
    features.y[i] = row * 15 - 0.5;
    features.patches.fill(lightAt(column + shift - 0.5, row - 0.5), PATCH_FIELDS * i, PATCH_FIELDS * i + 3);
  });
  const region = { columns: COLUMNS, rows: ROWS, share };
  return warpInput({ features, cells }, region);
}

const inliers = Int32Array.from({ length: 2 * PLACES.length }, (_, k) => k >> 1);

function partner(look: Look): Partner {
  return { view: view(look), inliers, otherFirst: false, driftStops: Math.log2(look.gain ?? 1) };
}

describe("light that moves over the surface", () => {
  it("of a matt surface is none, whatever its texture", () => {
    const found = movingLight(
      view({ shift: 0 }),
      [-6, -3, 3, 6].map((shift) => partner({ shift })),
    )!;
    expect(found.brightRatio).toBe(0);
    expect(found.darkRatio).toBe(0);
    expect(found.followedRatio).toBeGreaterThan(0.8);
  });

  it("is not what exposure changed", () => {
    const found = movingLight(
      view({ shift: 0 }),
      [-4, 4].map((shift) => partner({ shift, gain: 2 })),
    )!;
    expect(found.brightRatio).toBe(0);
    expect(found.darkRatio).toBe(0);
  });

  it("is a highlight that stays in the frame while the surface slides through", () => {
    const lobe = { column: 40, radius: 8, light: 0.2 };
    const found = movingLight(
      view({ shift: 0, lobe }),
      [-20, -12, 12, 20].map((shift) => partner({ shift, lobe: { ...lobe, column: 40 + 0.1 * shift } })),
    )!;
    // A disc of radius 8 cells on a subject of 46 x 46 within its rim: 9.5 %. The disc's own rim is within the slack.
    const disc = (Math.PI * 8 ** 2) / 46 ** 2;
    expect(found.brightRatio).toBeGreaterThan(0.6 * disc);
    expect(found.brightRatio).toBeLessThan(1.3 * disc);
  });

  it("is not a bright mark painted on the surface", () => {
    const found = movingLight(
      view({ shift: 0, lobe: { column: 40, radius: 8, light: 0.2 } }),
      [-6, -3, 3, 6].map((shift) => partner({ shift, lobe: { column: 40 + shift, radius: 8, light: 0.2 } })),
    )!;
    expect(found.brightRatio).toBeLessThan(0.005);
  });

  it("is a shadow where it is darker", () => {
    const lobe = { column: 40, radius: 8, light: -0.06 };
    const found = movingLight(
      view({ shift: 0, lobe }),
      [-20, -12, 12, 20].map((shift) => partner({ shift })),
    )!;
    expect(found.darkRatio).toBeGreaterThan(0.04);
    expect(found.brightRatio).toBe(0);
  });

  it("is not measured where the surface cannot be followed to two photos", () => {
    expect(movingLight(view({ shift: 0 }), [partner({ shift: 3 })])).toBeUndefined();
    expect(movingLight(view({ shift: 0 }), [])).toBeUndefined();
  });
});

describe("how bright the subject is", () => {
  it("is the median of its cells, and unknown for a speck", () => {
    const dark = view({ shift: 0, gain: 0.5 });
    const bright = view({ shift: 0 });
    const stops = [dark, bright].map(({ cells, region }) => subjectStops(cells, region)!);
    expect(stops[1] - stops[0]).toBeCloseTo(1, 1);
    const speck = { columns: COLUMNS, rows: ROWS, share: new Float32Array(COLUMNS * ROWS) };
    speck.share.fill(1, 0, 10);
    expect(subjectStops(bright.cells, speck)).toBeUndefined();
  });
});
