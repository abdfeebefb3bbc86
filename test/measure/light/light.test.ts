import { describe, expect, it } from "vitest";
import { createFeatures } from "#goodgate/measure/features/features.js";
import { type LitPhoto, measureLight } from "#goodgate/measure/light/light.js";
import { codeOfLight, createCells } from "#goodgate/measure/photo/cells.js";
import type { Exif } from "#goodgate/types/exif.js";

const COLUMNS = 20;
const ROWS = 15;

/** A plain subject that fills the frame, `stops` bright in the picture. */
function dataAt(stops: number) {
  const cells = createCells(COLUMNS, ROWS);
  for (const field of [cells.red, cells.green, cells.blue]) field.fill(codeOfLight(2 ** stops));
  return { features: createFeatures(0, 400, 300), cells };
}

function lit(index: number, exif: Partial<Exif>, change: Partial<LitPhoto> = {}): LitPhoto {
  return {
    file: `jug_${index}.jpg`,
    widthPx: 4000,
    heightPx: 3000,
    exif: { hasLocation: false, ...exif },
    region: () => ({ columns: COLUMNS, rows: ROWS, share: new Float32Array(COLUMNS * ROWS).fill(1) }),
    direction: { azimuthDeg: 30 * index + 10, elevationDeg: 20 },
    ...change,
  };
}

/** Brightness of the subject in stops by photo: one lamp at azimuth 100, its amplitude 1.2 stops. */
const side = (index: number): number => -4 + 1.2 * Math.cos(((30 * index - 90) * Math.PI) / 180);
const twelve = Array.from({ length: 12 }, (_, i) => i);

describe("the light of a set", () => {
  it("falloffs by the subject's side, not by the exposure that EXIF states", () => {
    const chosen = (i: number): number => (i % 3) / 2;
    const photos = twelve.map((i) => lit(i, { ev100: 8 - chosen(i) }));
    const { falloff, exposureSource } = measureLight(photos, (i) => dataAt(side(i) + chosen(i)), [], false);
    expect(exposureSource).toBe("exif");
    expect(falloff!.falloffStops).toBeCloseTo(2.4, 1);
    expect(falloff!.oneSidedStops).toBeCloseTo(2.4, 1);
    expect(Math.abs(falloff!.darkSideDeg - 280)).toBeLessThan(3);
    expect(falloff!.darkPhotos).toContain("jug_9.jpg");
    expect(falloff!.darkPhotos).not.toContain("jug_3.jpg");
  });

  it("takes out what the shared surface says where there is no EXIF", () => {
    const chosen = (i: number): number => -0.8 * (side(i) + 4);
    const photos = twelve.map((i) => lit(i, {}, { exposureOffsetStops: chosen(i) }));
    const { falloff, exposureSource } = measureLight(photos, (i) => dataAt(side(i) + chosen(i)), [], false);
    expect(exposureSource).toBe("matched surface");
    expect(falloff!.falloffStops).toBeCloseTo(2.4, 1);
  });

  it("has no sides that could be told where the subject was turned, nor without directions or exposures", () => {
    const known = twelve.map((i) => lit(i, { ev100: 8 }));
    const at = (i: number) => dataAt(side(i));
    expect(measureLight(known, at, [], true).falloff).toBeUndefined();
    const nowhere = twelve.map((i) => lit(i, { ev100: 8 }, { direction: undefined }));
    expect(measureLight(nowhere, at, [], false).falloff).toBeUndefined();
    const unknown = twelve.map((i) => lit(i, {}));
    expect(measureLight(unknown, at, [], false)).toMatchObject({ exposureSource: "matched surface" });
    expect(measureLight(unknown, at, [], false).falloff).toBeUndefined();
  });

  it("changed where the shared surface did and the stated exposure did not", () => {
    const photos = twelve.map((i) => lit(i, { ev100: 8 }, { exposureOffsetStops: i < 6 ? 0.3 : -0.5 }));
    const { step } = measureLight(photos, () => dataAt(-3), [], false);
    expect(step).toMatchObject({ before: "jug_5.jpg", after: "jug_6.jpg" });
    expect(step!.stops).toBeCloseTo(-0.8, 9);
    expect(step).not.toHaveProperty("redStops");
  });

  it("tells the optics that EXIF tells, and no more", () => {
    const lens = { focalLengthMm: 50, focalLength35Mm: 50, fNumber: 8 };
    const photos = [lit(0, {}), lit(1, lens), lit(2, { ...lens, subjectDistanceM: 2 })];
    const [bare, lensOnly, all] = measureLight(photos, () => dataAt(-3), [], false).photos;
    expect(bare).toEqual({ file: "jug_0.jpg" });
    // A full frame of 4000 x 3000 px: 43.27 mm over 5000 px is 8.65 micrometres a pixel, of which 10.7 are 1.24.
    expect(lensOnly.airyDiameterPx).toBeCloseTo(1.24, 2);
    expect(lensOnly).not.toHaveProperty("subjectDepthMm");
    expect(all.depthOfFieldMm).toBeCloseTo(2460.6 - 1684.6, 0);
    // The whole frame as a disc: its radius is sqrt(12e6 / pi) px at a focal length of 5778 px.
    expect(all.subjectDepthMm).toBeCloseTo((Math.sqrt(12e6 / Math.PI) / 5777.8) * 2000, 0);
  });
});
