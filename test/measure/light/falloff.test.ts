import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { binOf, darkSide, falloffOf, type SideLight } from "#goodgate/measure/light/falloff.js";

/** A photo every 15 degrees whose brightness follows a function of azimuth in degrees. */
function ring(stops: (azimuthDeg: number) => number, from = 0, to = 360): SideLight[] {
  const photos: SideLight[] = [];
  for (let azimuthDeg = from; azimuthDeg < to; azimuthDeg += 15)
    photos.push({ azimuthDeg, stops: stops(azimuthDeg) });
  return photos;
}

const wave = (azimuthDeg: number, times: number, brightDeg: number): number =>
  Math.cos((times * (azimuthDeg - brightDeg) * Math.PI) / 180);

describe("the falloff of the light", () => {
  it("of even light is 0", () => {
    const falloff = falloffOf(ring(() => -1.7))!;
    expect(falloff.falloffStops).toBeCloseTo(0, 12);
    expect(falloff.oneSidedStops).toBeCloseTo(0, 12);
  });

  it("is the highest bin less the lowest, bins by their median", () => {
    // Bin 3 (90 to 120 degrees) holds two photos of -3; one stray bright one does not change a bin of three.
    const photos = ring((a) => (a >= 90 && a < 120 ? -3 : -1));
    photos.push({ azimuthDeg: 100, stops: 0 });
    expect(falloffOf(photos)!.falloffStops).toBeCloseTo(2, 12);
  });

  it("of one bright side is one-sided, and the dark side lies opposite", () => {
    const falloff = falloffOf(ring((a) => wave(a - 7.5, 1, 40)))!;
    expect(falloff.darkSideDeg).toBeCloseTo(227.5, 0);
    expect(falloff.oneSidedStops).toBeGreaterThan(1.9);
    expect(falloff.twoSidedStops).toBeCloseTo(0, 6);
  });

  it("of two opposite bright sides is not one-sided", () => {
    const falloff = falloffOf(ring((a) => wave(a, 2, 40)))!;
    expect(falloff.oneSidedStops).toBeCloseTo(0, 6);
    expect(falloff.twoSidedStops).toBeGreaterThan(1.7);
    expect(falloff.falloffStops).toBeGreaterThan(1.5);
  });

  it("is measured from three quarters of the way round on", () => {
    expect(falloffOf(ring((a) => wave(a, 1, 0), 0, 270))).toBeDefined();
    expect(falloffOf(ring((a) => wave(a, 1, 0), 0, 240))).toBeUndefined();
    expect(falloffOf([])).toBeUndefined();
  });

  it("is not made larger than it is by what lies between", () => {
    const photos = ring((a) => (a < 150 ? 0 : -2), 0, 270);
    const falloff = falloffOf(photos)!;
    expect(falloff.falloffStops).toBe(2);
    expect(falloff.oneSidedStops).toBeLessThanOrEqual(2);
  });

  it("turns with the set", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 11 }), (bins) => {
        const turned = falloffOf(ring((a) => wave(a - 30 * bins, 1, 40) + 0.3 * wave(a - 30 * bins, 2, 10)))!;
        const still = falloffOf(ring((a) => wave(a, 1, 40) + 0.3 * wave(a, 2, 10)))!;
        const off = turned.darkSideDeg - still.darkSideDeg - 30 * bins;
        expect(Math.abs(((off + 900) % 360) - 180)).toBeLessThan(1e-6);
        expect(turned.falloffStops).toBeCloseTo(still.falloffStops, 9);
      }),
    );
  });
});

describe("photos of the dark side", () => {
  it("are those within 60 degrees of it that are darker than the middle", () => {
    const photos = ring((a) => wave(a, 1, 0));
    const falloff = falloffOf(photos)!;
    const dark = darkSide(photos, falloff);
    const named = photos.filter((_, i) => dark[i]).map(({ azimuthDeg }) => azimuthDeg);
    expect(named[0]).toBeGreaterThanOrEqual(120);
    expect(named.at(-1)).toBeLessThanOrEqual(255);
    expect(named).toContain(180);
  });
});

describe("bins", () => {
  it.each([
    [0, 0],
    [29.9, 0],
    [30, 1],
    [359.9, 11],
    [-1, 11],
    [725, 0],
  ])("%d degrees fall into bin %i", (azimuthDeg, bin) => {
    expect(binOf(azimuthDeg)).toBe(bin);
  });
});
