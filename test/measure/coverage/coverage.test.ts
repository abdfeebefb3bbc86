import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { bandOf, bandsOf } from "#goodgate/measure/coverage/bands.js";
import { coverageOf, type PlacedPhoto } from "#goodgate/measure/coverage/coverage.js";
import { angleBetweenDirections, directionsAround, wrap360 } from "#goodgate/measure/coverage/directions.js";

const ring = (elevationDeg: number, azimuths: readonly number[], first = 0): PlacedPhoto[] =>
  azimuths.map((azimuthDeg, k) => ({ photo: first + k, azimuthDeg, elevationDeg, uncertaintyDeg: 0.5 }));
const evenly = (count: number, from = 0): number[] =>
  Array.from({ length: count }, (_, k) => wrap360(from + (360 * k) / count));

describe("bands", () => {
  test("-30, 15, 40 and 65 degrees are the borders", () => {
    expect([-31, -20, 14.9, 15, 39.9, 40, 64.9, 65, 90].map(bandOf)).toEqual([
      "below",
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
  test("24 photos at 20 degrees: steps of 15 in azimuth, 14.1 on the sphere, span 360", () => {
    const { bands } = coverageOf(ring(20, evenly(24)));
    expect(bands.map(({ name }) => name)).toEqual(["middle"]);
    expect(bands[0].spanDeg).toBeCloseTo(360, 9);
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

  test("near the pole a third of the way round is a small turn", () => {
    const { bands } = coverageOf(ring(80, [0, 120, 240]));
    // 4 asin(cos 80 sin 30)
    for (const { widthDeg, angleDeg } of bands[0].steps) {
      expect(widthDeg).toBeCloseTo(120, 9);
      expect(angleDeg).toBeCloseTo(19.924, 3);
    }
  });

  test("the open side of an arc is as wide as the way round it, not as the arc", () => {
    const { bands } = coverageOf(ring(0, [0, 10, 20]));
    expect(bands[0].steps.at(-1)).toMatchObject({ fromPhoto: 2, toPhoto: 0 });
    expect(bands[0].steps.at(-1)?.angleDeg).toBeCloseTo(340, 9);
    expect(bands[0].spanDeg).toBeCloseTo(20, 9);
  });

  test("photos of another height bridge a step from as far as they stand above it", () => {
    const low = [0, 12, 24, 72, 84, 96];
    const above = (azimuths: readonly number[]) =>
      coverageOf([...ring(0, low), ...ring(22, azimuths, 6)]).bands[0].steps.find(
        ({ fromPhoto }) => fromPhoto === 2,
      );
    expect(above([12, 30, 45, 60, 75])?.bridgedWithinDeg).toBeCloseTo(22, 9);
    expect(above([12, 75])).not.toHaveProperty("bridgedWithinDeg");
    expect(above([30, 66])).not.toHaveProperty("bridgedWithinDeg");
  });

  describe("a ring closes", () => {
    const links = (count: number) => Array.from({ length: count }, (_, i) => ({ i, j: (i + 1) % count }));
    const closed = (elevationDeg: number, azimuths: readonly number[], chain = links(azimuths.length)) =>
      coverageOf(ring(elevationDeg, azimuths), {}, chain).closed;

    test("by links all the way round, and not without one of them", () => {
      expect(closed(20, evenly(24))).toBe(true);
      expect(closed(20, evenly(24), links(24).slice(1))).toBe(false);
      // Around the gap another way.
      expect(closed(20, evenly(24), [...links(24).slice(1), { i: 23, j: 1 }])).toBe(true);
    });

    test("not as one photo, three, a strip that is linked with itself, or a round straight above", () => {
      expect(closed(20, [0], [])).toBe(false);
      expect(closed(20, evenly(3))).toBe(false);
      expect(closed(80, evenly(3))).toBe(false);
      expect(closed(80, evenly(20))).toBe(false);
      expect(
        closed(
          20,
          evenly(20).map((azimuth) => azimuth / 9),
        ),
      ).toBe(false);
    });

    test("of the heights only the one that is linked round", () => {
      const { bands, closed } = coverageOf(
        [...ring(5, evenly(12)), ...ring(50, evenly(12), 12)],
        {},
        links(12),
      );
      expect(closed).toBe(true);
      expect(bands.map((band) => band.closed)).toEqual([true, false]);
    });
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
