import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  fitFundamental,
  fundamentalFromPlane,
  sevenPointFundamental,
} from "#goodgate/measure/geometry/fundamental.js";
import { sampsonSquared } from "#goodgate/measure/geometry/sampson.js";
import { seededNormal, seededRandom } from "../../support/arrays.js";

/** Two views, focal length 1, of points 3 to 6 units away; b is moved by (-1, .2, .1) and turned about y. */
function views(count: number, seed: number, depth: (x: number, y: number, random: number) => number) {
  const random = seededRandom(seed);
  const a = new Float64Array(2 * count);
  const b = new Float64Array(2 * count);
  const [cos, sin] = [Math.cos(0.2), Math.sin(0.2)];
  for (let i = 0; i < count; i++) {
    const [u, v] = [random() - 0.5, random() - 0.5];
    const z = depth(u, v, random());
    const [x, y] = [u * z, v * z];
    const [p, q, r] = [cos * x + sin * z - 1, y + 0.2, -sin * x + cos * z + 0.1];
    a.set([u, v], 2 * i);
    b.set([p / r, q / r], 2 * i);
  }
  return { a, b };
}

const determinant = (f: ArrayLike<number>) =>
  f[0] * (f[4] * f[8] - f[5] * f[7]) -
  f[1] * (f[3] * f[8] - f[5] * f[6]) +
  f[2] * (f[3] * f[7] - f[4] * f[6]);

function worst(f: ArrayLike<number>, a: Float64Array, b: Float64Array): number {
  let most = 0;
  for (let k = 0; k < a.length; k += 2)
    most = Math.max(most, sampsonSquared(f, a[k], a[k + 1], b[k], b[k + 1]));
  return most;
}

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

  it("by seven points has one or three solutions, and one of them is the true one", () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const { a, b } = views(20, seed, (_x, _y, r) => 3 + 3 * r);
        const found = sevenPointFundamental(a, b, [0, 1, 2, 3, 4, 5, 6]);
        const seven = found.every(
          (f) => worst(f, a.slice(0, 14), b.slice(0, 14)) < 1e-12 && Math.abs(determinant(f)) < 1e-8,
        );
        const right = Math.min(...found.map((f) => worst(f, a, b)));
        return (found.length === 1 || found.length === 3) && seven && right < 1e-10;
      }),
      { numRuns: 60, seed: 1 },
    );
  });

  it("by seven points is empty where all coincide", () => {
    const same = new Float64Array(14).fill(0.3);
    expect(sevenPointFundamental(same, same, [0, 1, 2, 3, 4, 5, 6])).toEqual([]);
  });

  it("of a plane and two points off it explains the other points off it", () => {
    // b's view of the plane z = 4: x' = R (x + ...) with n = (0, 0, 1) / 4.
    const [cos, sin] = [Math.cos(0.2), Math.sin(0.2)];
    const h = Float64Array.of(cos, 0, sin - 0.25, 0, 1, 0.05, -sin, 0, cos + 0.025);
    const { a, b } = views(10, 3, (_x, _y, r) => 3 + 3 * r);
    const f = fundamentalFromPlane(h, a[0], a[1], b[0], b[1], a[2], a[3], b[2], b[3])!;
    expect(worst(f, a, b)).toBeLessThan(1e-18);
  });

  it("is undefined where the two points lie on the plane", () => {
    const h = Float64Array.of(1, 0, 0.5, 0, 1, 0, 0, 0, 1);
    expect(fundamentalFromPlane(h, 0, 0, 0.5, 0, 1, 1, 1.5, 1)).toBeUndefined();
  });
});
