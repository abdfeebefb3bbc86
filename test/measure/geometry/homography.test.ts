import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  fitHomography,
  homographyFromFour,
  invertHomography,
} from "#goodgate/measure/geometry/homography.js";
import { sumProducts } from "#goodgate/measure/geometry/point-products.js";
import { seededNormal, seededRandom } from "../../support/arrays.js";

function send(h: ArrayLike<number>, points: ArrayLike<number>): Float64Array {
  const out = new Float64Array(points.length);
  for (let k = 0; k < points.length; k += 2) {
    const w = h[6] * points[k] + h[7] * points[k + 1] + h[8];
    out[k] = (h[0] * points[k] + h[1] * points[k + 1] + h[2]) / w;
    out[k + 1] = (h[3] * points[k] + h[4] * points[k + 1] + h[5]) / w;
  }
  return out;
}

function scatter(count: number, seed: number): Float64Array {
  const random = seededRandom(seed);
  return Float64Array.from({ length: 2 * count }, () => 800 * random());
}

/** The published homography from graf1 to graf3 (Mikolajczyk et al. 2005, A Comparison of Affine Region Detectors). */
const GRAF = [
  0.76285898, -0.29922929, 225.67123, 0.33443473, 1.0143901, -76.999973, 3.4663091e-4, -1.4364524e-5, 1,
];

describe("Hartley's normalisation", () => {
  it("brings the square (0,0)-(400,400) to centre 200 and scale .005 (Hartley 1997, worked by hand)", () => {
    const square = [0, 0, 400, 0, 400, 400, 0, 400];
    const { from, to, sums } = sumProducts(square, square);
    const { scale, centreX, centreY } = from;
    expect([centreX, centreY]).toEqual([200, 200]);
    expect(scale).toBeCloseTo(0.005, 15);
    expect(to).toEqual(from);
    // Corners at -1 and 1: sums of xx, yy and 1 are 4, all others 0; so are those of xx xx, xy xy and the like.
    const plain = Array.from(sums.subarray(30));
    expect(plain).toEqual([4, 0, 0, 4, 0, 4].map((v) => expect.closeTo(v, 12)));
    expect(Array.from(sums.subarray(6, 12))).toEqual([0, 4, 0, 0, 0, 0].map((v) => expect.closeTo(v, 12)));
  });

  it("keeps points that all coincide finite", () => {
    const { from, sums } = sumProducts([3, 4, 3, 4], [3, 4, 5, 6]);
    expect(from).toEqual({ centreX: 3, centreY: 4, scale: 1 });
    expect(sums.every(Number.isFinite)).toBe(true);
  });
});

describe("homography", () => {
  it("comes back from exact points, by least squares and through four", () => {
    const from = scatter(30, 1);
    const to = send(GRAF, from);
    for (const h of [fitHomography(from, to), homographyFromFour(from, to, [3, 8, 20, 11])]) {
      expect(h).toBeDefined();
      for (let k = 0; k < 9; k++) expect(h![k] / h![8]).toBeCloseTo(GRAF[k], 6);
    }
  });

  it("comes near from noisy points: 0.5 px of noise on 200 points leaves less than 0.2 px", () => {
    const normal = seededNormal(2);
    const from = scatter(200, 3);
    const to = send(GRAF, from).map((v) => v + 0.5 * normal());
    const h = fitHomography(from, to)!;
    const truth = send(GRAF, from);
    const found = send(h, from);
    let sum = 0;
    for (let k = 0; k < found.length; k++) sum += (found[k] - truth[k]) ** 2;
    expect(Math.sqrt(sum / 200)).toBeLessThan(0.2);
  });

  it("heeds weights: a wrong point of weight 0 changes nothing", () => {
    const from = scatter(12, 4);
    const to = send(GRAF, from);
    to[0] += 100;
    const weights = new Array(12).fill(1);
    weights[0] = 0;
    const h = fitHomography(from, to, weights)!;
    for (let k = 0; k < 9; k++) expect(h[k] / h[8]).toBeCloseTo(GRAF[k], 6);
  });

  it("is undefined for too few points and for points on a line", () => {
    expect(fitHomography([0, 0, 1, 0, 1, 1], [0, 0, 1, 0, 1, 1])).toBeUndefined();
    const line = [0, 0, 1, 1, 2, 2, 3, 3, 4, 4];
    expect(fitHomography(line, line)).toBeUndefined();
    expect(homographyFromFour(line, line, [0, 1, 2, 3])).toBeUndefined();
  });

  it("has an inverse that undoes it, and none where it is singular", () => {
    const points = scatter(5, 5);
    const back = send(invertHomography(GRAF)!, send(GRAF, points));
    for (let k = 0; k < 10; k++) expect(back[k]).toBeCloseTo(points[k], 6);
    expect(invertHomography([1, 2, 3, 2, 4, 6, 0, 0, 1])).toBeUndefined();
  });

  it("property: four points in general position are met exactly", () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const from = scatter(4, seed).map((v) => v / 400 - 1);
        const to = scatter(4, seed + 1).map((v) => v / 400 - 1);
        const h = homographyFromFour(from, to, [0, 1, 2, 3]);
        if (h === undefined) return true;
        const inverse = invertHomography(h);
        const landed = send(h, from);
        return inverse === undefined || landed.every((v, k) => Math.abs(v - to[k]) < 1e-5);
      }),
      { seed: 1 },
    );
  });
});
