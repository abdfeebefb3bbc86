import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { addedBlur, blurOfRatio } from "#goodgate/measure/photo/blur-model.js";

/** Band energies by plain numerical integration over radial frequency, spectrum 1 / f^2, blur sigma s. */
function energies(sigma: number): { fine: number; mid: number } {
  let fine = 0;
  let mid = 0;
  const step = 1e-4;
  for (let w = step / 2; w < 60; w += step) {
    const passed = Math.exp(-((sigma * w) ** 2)) / w;
    const narrow = Math.exp(-(w * w) / 2);
    const wide = Math.exp((-9 * w * w) / 2);
    fine += step * passed * (1 - narrow) ** 2;
    mid += step * passed * (narrow - wide) ** 2;
  }
  return { fine, mid };
}

describe("the blur that explains a drop of detail", () => {
  it("agrees with numerical integration of the bands", () => {
    for (const sigma of [0.5, 1, 2, 3]) {
      const { fine, mid } = energies(sigma);
      expect(blurOfRatio(fine / mid)).toBeCloseTo(sigma, 2);
    }
    const before = energies(0.6);
    const after = energies(Math.hypot(0.6, 2));
    expect(addedBlur(Math.log2(before.fine / after.fine), before.fine / before.mid)).toBeCloseTo(2, 2);
  });

  it("a photo that lost nothing has no added blur", () => {
    expect(addedBlur(0, 0.4)).toBe(0);
    expect(addedBlur(-1, 0.4)).toBe(0);
  });

  it("the same drop means more blur in a set that is softer from the start", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 4, noNaN: true }),
        fc.double({ min: 0.08, max: 0.3, noNaN: true }),
        (drop, ratio) => {
          expect(addedBlur(drop, ratio)).toBeGreaterThan(addedBlur(drop, 2 * ratio));
        },
      ),
    );
  });

  it("a larger drop never means less blur", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 5, noNaN: true }),
        fc.double({ min: 0.05, max: 1, noNaN: true }),
        (drop, ratio) => {
          expect(addedBlur(drop + 0.2, ratio)).toBeGreaterThanOrEqual(addedBlur(drop, ratio));
        },
      ),
    );
  });
});
