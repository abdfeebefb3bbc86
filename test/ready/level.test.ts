import { describe, expect, it } from "vitest";
import { level } from "#goodgate/ready/level.js";

const EVEN = { red: 1, green: 1, blue: 1 };

/** A picture of one grey code. */
function grey(code: number, pixels = 4096): { width: number; height: number; data: Uint8Array } {
  return { width: pixels, height: 1, data: new Uint8Array(3 * pixels).fill(code) };
}

/** IEC 61966-2-1, written out once more. */
const linear = (code: number) =>
  code / 255 <= 0.04045 ? code / 255 / 12.92 : ((code / 255 + 0.055) / 1.055) ** 2.4;

function mean(values: ArrayLike<number>): number {
  return Array.from(values).reduce((sum, value) => sum + value, 0) / values.length;
}

describe("levelling a picture", () => {
  it("by 1 changes no byte", () => {
    const image = grey(0);
    image.data.forEach((_, i) => {
      image.data[i] = i & 255;
    });
    const before = image.data.slice();
    level(image, EVEN);
    expect(image.data).toEqual(before);
  });

  // IEC 61966-2-1: code 188 holds .5029 of the light of 255, 128 holds .2159 (reference values of the standard).
  it.each([
    [188, 0.5, 137.2],
    [128, 2, 175.7],
    [119, 0.25, 60.6],
  ])("turns code %i into the code of %f times its light", (code, gain, wanted) => {
    const image = grey(code);
    level(image, { red: gain, green: gain, blue: gain });
    expect(mean(image.data)).toBeCloseTo(wanted, 0);
    const light = mean(Array.from(image.data, linear));
    expect(Math.log2(light / (gain * linear(code)))).toBeCloseTo(0, 2);
  });

  it("treats each channel by its own gain", () => {
    const image = grey(100);
    level(image, { red: 2, green: 1, blue: 0.5 });
    const channel = (c: number) => mean(image.data.filter((_, i) => i % 3 === c));
    expect(channel(0)).toBeGreaterThan(130);
    expect(channel(1)).toBe(100);
    expect(channel(2)).toBeLessThan(75);
  });

  it("leaves no holes in the histogram of a smooth shade made one stop brighter", () => {
    const image = grey(0, 60_000);
    for (let i = 0; i < image.data.length; i++)
      image.data[i] = 40 + Math.floor((100 * i) / image.data.length);
    level(image, { red: 2, green: 2, blue: 2 });
    const codes = new Set(image.data);
    const [least, most] = [Math.min(...codes), Math.max(...codes)];
    const holes = Array.from({ length: most - least }, (_, k) => least + k).filter(
      (code) => !codes.has(code),
    );
    expect(holes).toEqual([]);
  });

  it("keeps brighter light brighter up to white, and cuts nothing off below it", () => {
    const after = Array.from({ length: 256 }, (_, code) => {
      const image = grey(code, 256);
      level(image, { red: 2, green: 2, blue: 2 });
      return mean(image.data);
    });
    for (let code = 1; code < 256; code++) expect(after[code]).toBeGreaterThanOrEqual(after[code - 1]! - 0.5);
    expect(after[230]).toBeLessThan(255);
    expect(after[255]).toBeLessThanOrEqual(255);
  });

  it.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])("refuses a gain of %f", (gain) => {
    expect(() => level(grey(1), { ...EVEN, red: gain })).toThrow(RangeError);
  });
});
