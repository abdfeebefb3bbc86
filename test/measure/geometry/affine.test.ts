import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fitAffine } from "#goodgate/measure/geometry/affine.js";
import { seededNormal, seededRandom } from "../../support/arrays.js";

const MAP = [0.9, -0.2, 0.3, 0.1, 1.1, -0.4];

function moved(map: readonly number[], points: Float64Array): Float64Array {
  const out = new Float64Array(points.length);
  for (let k = 0; k < points.length; k += 2) {
    out[k] = map[0] * points[k] + map[1] * points[k + 1] + map[2];
    out[k + 1] = map[3] * points[k] + map[4] * points[k + 1] + map[5];
  }
  return out;
}

function scatter(count: number, seed: number): Float64Array {
  const random = seededRandom(seed);
  return Float64Array.from({ length: 2 * count }, () => 2 * random() - 1);
}

describe("robust affine fit", () => {
  it("is exact on exact points, three or more", () => {
    for (const count of [3, 4, 50]) {
      const from = scatter(count, count);
      const fit = fitAffine(from, moved(MAP, from), 1e-3)!;
      for (let k = 0; k < 6; k++) expect(fit[k]).toBeCloseTo(MAP[k], 9);
    }
  });

  it("property: a quarter of wrong points moves it by less than the noise", () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const normal = seededNormal(seed);
        const from = scatter(120, seed + 1);
        const to = moved(MAP, from).map((v) => v + 0.003 * normal());
        const wrong = scatter(30, seed + 2);
        to.set(wrong, 0);
        const fit = fitAffine(from, to, 1e-3)!;
        return MAP.every((value, k) => Math.abs(fit[k] - value) < 0.003);
      }),
      { numRuns: 60, seed: 1 },
    );
  });

  it("is undefined for fewer than three points and for points on a line", () => {
    expect(fitAffine([0, 0, 1, 1], [0, 0, 1, 1], 1e-3)).toBeUndefined();
    expect(fitAffine([0, 0, 1, 1, 2, 2, 3, 3], [0, 0, 1, 1, 2, 2, 3, 3], 1e-3)).toBeUndefined();
  });
});
