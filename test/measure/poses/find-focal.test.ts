import { describe, expect, test } from "vitest";
import { measureAround } from "#goodgate/measure/coverage/around.js";
import { findFocal } from "#goodgate/measure/poses/find-focal.js";
import { FOCAL_35_MM, randomSource, ring } from "./synthetic.js";
import { synthesise } from "./whole-set.js";

/** A ring without EXIF whose subject fills half of the picture's width, whatever the lens. */
function withoutExif(focal35Mm: number, hole?: readonly [number, number], table = 1500) {
  const random = randomSource(5);
  const distance = (5 / 1.6) * (focal35Mm / FOCAL_35_MM);
  const all = ring({ photos: 36, elevationDeg: 24, distance }, random);
  const cameras = hole ? all.filter(({ azimuthDeg }) => azimuthDeg < hole[0] || azimuthDeg > hole[1]) : all;
  const { photos, pairs } = synthesise(cameras, 77, { most: 150, partners: 6, focal35Mm, table });
  return { photos: photos.map(({ features }) => ({ features })), pairs, cameras };
}

describe("findFocal", () => {
  test.each([24, 28, 35, 50, 80, 105, 135])("a lens of %i mm is found within a twelfth", (focal35Mm) => {
    const { photos, pairs } = withoutExif(focal35Mm);
    expect(Math.abs(Math.log((findFocal(photos, pairs) ?? 0) / focal35Mm))).toBeLessThan(1 / 12);
  });

  test("too few photos, or none that hang together, tell nothing", () => {
    const { photos, pairs } = withoutExif(50);
    expect(findFocal(photos, [])).toBeUndefined();
    expect(
      findFocal(
        photos.slice(0, 4),
        pairs.filter(({ i, j }) => i < 4 && j < 4),
      ),
    ).toBeUndefined();
  });
});

describe("measureAround without EXIF", () => {
  test.each([24, 80, 135])("%i mm: a hole keeps its width and the ring its height", (focal35Mm) => {
    const { photos, pairs, cameras } = withoutExif(focal35Mm, [100, 128]);
    const { parts, focalSource, focalFactor } = measureAround(photos, pairs);
    expect(focalSource).toBe("measured");
    expect(focalFactor).toBeCloseTo(focal35Mm / 26, 0);
    expect(parts).toHaveLength(1);
    expect(parts[0].bands.map(({ name }) => name)).toEqual(["middle"]);
    const azimuths = cameras.map(({ azimuthDeg }) => azimuthDeg).sort((p, q) => p - q);
    const hole = Math.max(...azimuths.slice(1).map((at, k) => at - azimuths[k]));
    const widest = Math.max(...parts[0].bands[0].steps.map(({ widthDeg }) => widthDeg));
    expect(Math.abs(widest - hole)).toBeLessThan(3);
  });

  test("where the photos do not tell the lens, nobody is sure of the angles", () => {
    const { photos, pairs } = withoutExif(80);
    // Two photos at a time hang together: enough to place them by, too little for a focal length.
    const chain = pairs.filter(({ i, j }) => j - i === 1 && i % 2 === 0);
    const { parts, focalSource } = measureAround(photos, chain);
    expect(focalSource).toBe("assumed");
    for (const { confidence } of parts) expect(confidence).toBeLessThan(0.3);
  });
});
