import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { bandOf, bandsOf } from "#goodgate/measure/coverage/bands.js";
import { coverageOf, type PlacedPhoto } from "#goodgate/measure/coverage/coverage.js";
import { angleBetweenDirections, directionsAround, wrap360 } from "#goodgate/measure/coverage/directions.js";

const ring = (elevationDeg: number, azimuths: readonly number[], first = 0): PlacedPhoto[] =>
  azimuths.map((azimuthDeg, k) => ({ photo: first + k, azimuthDeg, elevationDeg }));
const evenly = (count: number, from = 0): number[] =>
  Array.from({ length: count }, (_, k) => wrap360(from + (360 * k) / count));

describe("bands", () => {
  test("15, 40 and 65 degrees are the borders", () => {
    expect([-20, 14.9, 15, 39.9, 40, 64.9, 65, 90].map(bandOf)).toEqual([
      "low",
      "low",
      "middle",
      "middle",
      "high",
      "high",
      "overhead",
      "overhead",
    ]);
  });

  test("a ring that wavers about 16 degrees is one band", () => {
    expect(new Set(bandsOf([13, 14, 15, 16, 17, 18, 19]))).toEqual(new Set(["middle"]));
  });

  test("a photo well inside a band keeps it, whatever the others do", () => {
    expect(bandsOf([22, 14, 14, 14, 14])[0]).toBe("middle");
  });
});

describe("coverage", () => {
  test("24 photos at 20 degrees: closed, steps of 15 in azimuth, 14.1 on the sphere, span 345", () => {
    const { bands } = coverageOf(ring(20, evenly(24)));
    expect(bands.map(({ name }) => name)).toEqual(["middle"]);
    expect(bands[0].closed).toBe(true);
    expect(bands[0].spanDeg).toBeCloseTo(345, 9);
    expect(bands[0].steps).toHaveLength(24);
    for (const { widthDeg, angleDeg } of bands[0].steps) {
      expect(widthDeg).toBeCloseTo(15, 9);
      expect(angleDeg).toBeCloseTo(14.09, 2);
    }
  });

  test("a hole lies between the two photos beside it, over north too", () => {
    const azimuths = evenly(36).filter((azimuth) => azimuth > 10 && azimuth < 340);
    const { bands } = coverageOf(ring(10, azimuths));
    const widest = bands[0].steps.reduce((a, b) => (b.widthDeg > a.widthDeg ? b : a));
    expect(widest).toMatchObject({ fromPhoto: azimuths.indexOf(330), toPhoto: azimuths.indexOf(20) });
    expect(widest.widthDeg).toBeCloseTo(50, 9);
    expect(bands[0].closed).toBe(false);
    expect(bands[0].spanDeg).toBeCloseTo(310, 9);
  });

  test("a turn of the whole set changes no step", () => {
    const azimuths = [0, 12, 31, 60, 75, 130, 200, 222, 301, 340];
    const widths = (turn: number) =>
      coverageOf(
        ring(
          20,
          azimuths.map((azimuth) => wrap360(azimuth + turn)),
        ),
      )
        .bands[0].steps.map(({ fromPhoto, widthDeg }) => [fromPhoto, widthDeg] as const)
        .sort((p, q) => p[0] - q[0]);
    fc.assert(
      fc.property(fc.double({ min: 0, max: 360, noNaN: true }), (turn) => {
        widths(turn).forEach(([photo, width], k) => {
          expect(photo).toBe(widths(0)[k][0]);
          expect(width).toBeCloseTo(widths(0)[k][1], 6);
        });
      }),
      { numRuns: 40 },
    );
  });

  test("a photo at nearly the same height in the next band fills a step", () => {
    const low = ring(12, [0, 40, 80, 120, 160, 200, 240, 280, 320]);
    const filler = ring(20.5, [20], 9);
    const { bands } = coverageOf([...low, ...filler]);
    const all = bands.flatMap(({ steps }) => steps);
    expect(all.find(({ fromPhoto, toPhoto }) => fromPhoto === 0 && toPhoto === 1)).toBeUndefined();
    expect(all.find(({ fromPhoto, toPhoto }) => fromPhoto === 0 && toPhoto === 9)?.widthDeg).toBeCloseTo(
      20,
      9,
    );
  });

  test("a photo 25 degrees higher does not", () => {
    const { bands } = coverageOf([...ring(10, [0, 40, 80]), ...ring(35, [20], 3)]);
    const all = bands.flatMap(({ steps }) => steps);
    expect(all.some(({ fromPhoto, toPhoto }) => fromPhoto === 0 && toPhoto === 1)).toBe(true);
  });

  test("with 180 degrees wanted the open side is no step", () => {
    const front = ring(20, [300, 315, 330, 345, 0, 15, 30, 45, 60, 75, 90, 105, 120]);
    const { bands } = coverageOf(front, { spanDeg: 180 });
    expect(Math.max(...bands[0].steps.map(({ widthDeg }) => widthDeg))).toBeCloseTo(15, 9);
    expect(bands[0].spanDeg).toBeCloseTo(180, 9);
  });

  test("overhead photos have no steps", () => {
    const { bands } = coverageOf(ring(80, [0, 120, 240]));
    expect(bands[0]).toMatchObject({ name: "overhead", steps: [], closed: true });
  });

  test("the gap between rings at 10 and 45 degrees is 35, between the nearest two photos", () => {
    const { bandGaps } = coverageOf([...ring(10, evenly(12)), ...ring(45, evenly(12), 12)]);
    expect(bandGaps).toHaveLength(1);
    expect(bandGaps[0]).toMatchObject({ lower: "low", upper: "high" });
    expect(bandGaps[0].angleDeg).toBeCloseTo(35, 9);
  });

  test("a level ring of steps of 15 shows each level direction in 8 or 9 photos, of steps of 45 in 2 or 3", () => {
    // floor(2 * 60 / step), or one more where a photo lies on the edge.
    for (const [photos, least] of [
      [24, 8],
      [8, 2],
    ]) {
      const counts = coverageOf(ring(0, evenly(photos, 3))).viewsPerDirection.counts[0];
      expect(Math.min(...counts)).toBeGreaterThanOrEqual(least);
      expect(Math.max(...counts)).toBeLessThanOrEqual(least + 1);
    }
  });

  test("nothing in, nothing out", () => {
    const { bands, bandGaps } = coverageOf([]);
    expect([bands, bandGaps]).toEqual([[], []]);
  });
});

describe("directions", () => {
  test("azimuth starts at the first photo and grows clockwise seen from above", () => {
    const at = directionsAround(
      [
        [0, -2, 0],
        [-2, 0, 0],
        [0, 2, 2],
      ],
      [0, 0, 0],
      [0, 0, 1],
    );
    // Seen from above with y away from the viewer, clockwise from the near side is to the left.
    expect(at[0].azimuthDeg).toBeCloseTo(0, 9);
    expect(at[1].azimuthDeg).toBeCloseTo(90, 9);
    expect(at[2].azimuthDeg).toBeCloseTo(180, 9);
    expect(at[2].elevationDeg).toBeCloseTo(45, 9);
  });

  test("the angle between two level directions is their azimuth difference", () => {
    const level = (azimuthDeg: number) => ({ azimuthDeg, elevationDeg: 0 });
    expect(angleBetweenDirections(level(350), level(20))).toBeCloseTo(30, 9);
  });
});
