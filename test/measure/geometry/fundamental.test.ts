import { describe, expect, it } from "vitest";
import { fitFundamental } from "#goodgate/measure/geometry/fundamental.js";
import { sampsonSquared } from "#goodgate/measure/geometry/sampson.js";
import { seededNormal } from "../../support/arrays.js";
import { views, worst } from "./two-views.js";

const determinant = (f: ArrayLike<number>) =>
  f[0] * (f[4] * f[8] - f[5] * f[7]) -
  f[1] * (f[3] * f[8] - f[5] * f[6]) +
  f[2] * (f[3] * f[7] - f[4] * f[6]);

describe("fundamental matrix", () => {
  const deep = views(40, 1, (_x, _y, r) => 3 + 3 * r);

  it("by eight points is exact on exact points and has rank 2", () => {
    const f = fitFundamental(deep.a, deep.b)!;
    expect(worst(f, deep.a, deep.b)).toBeLessThan(1e-18);
    expect(Math.abs(determinant(f))).toBeLessThan(1e-12);
  });

  it("by eight points stays within the noise: 1e-3 on 300 points leaves half of that off the true lines", () => {
    const normal = seededNormal(5);
    const { a, b } = views(300, 2, (_x, _y, r) => 3 + 3 * r);
    const f = fitFundamental(
      a.map((v) => v + 1e-3 * normal()),
      b.map((v) => v + 1e-3 * normal()),
    )!;
    let sum = 0;
    for (let k = 0; k < a.length; k += 2) sum += sampsonSquared(f, a[k], a[k + 1], b[k], b[k + 1]);
    expect(Math.sqrt(sum / 300)).toBeLessThan(5e-4);
  });

  it("heeds weights, and is undefined for fewer than eight points", () => {
    const b = deep.b.slice();
    b[1] += 0.5;
    const weights = new Array(40).fill(1);
    weights[0] = 0;
    expect(worst(fitFundamental(deep.a, b, weights)!, deep.a.slice(2), b.slice(2))).toBeLessThan(1e-18);
    expect(fitFundamental(deep.a.slice(0, 14), deep.b.slice(0, 14))).toBeUndefined();
  });
});
