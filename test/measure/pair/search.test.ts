import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createRandom } from "#goodgate/measure/geometry/random.js";
import type { Correspondences } from "#goodgate/measure/pair/correspondences.js";
import {
  countOnLines,
  countOnPlane,
  type Fit,
  searchEpipolar,
  searchHomography,
} from "#goodgate/measure/pair/search.js";
import { views, worst } from "../geometry/two-views.js";

const TOLERANCE = 1e-4;
const SEVEN = Int32Array.of(0, 1, 2, 3, 4, 5, 6);
const any = { numRuns: 60, seed: 1 };

function matched(a: Float64Array, b: Float64Array): Correspondences {
  const count = a.length / 2;
  return { count, a, b, turn: new Float64Array(count), zoom: new Float64Array(count) };
}

/** b's view of the plane z = 4 of views(): x' = R x + t n / 4 with n = (0, 0, 1). */
const [cos, sin] = [Math.cos(0.2), Math.sin(0.2)];
const plane = Float64Array.of(cos, 0, sin - 0.25, 0, 1, 0.05, -sin, 0, cos + 0.025);
const fitOf = (matrix: Float64Array, residuals: number[]): Fit => ({
  matrix,
  cost: 1,
  residuals: Float64Array.from(residuals),
});

describe("random samples of matches", () => {
  it("property: seven exact matches give the fundamental matrix of all", () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const { a, b } = views(20, seed, (_x, _y, r) => 3 + 3 * r);
        const found = searchEpipolar(matched(a, b), SEVEN, TOLERANCE, createRandom(seed), undefined);
        return found !== undefined && worst(found.matrix, a, b) < 1e-10;
      }),
      any,
    );
  });

  it("give none where all matches coincide, or too few are there to draw from", () => {
    const same = matched(new Float64Array(40).fill(0.3), new Float64Array(40).fill(0.3));
    const few = matched(views(20, 1, () => 4).a, views(20, 1, () => 4).b);
    expect(searchEpipolar(same, SEVEN, TOLERANCE, createRandom(1), undefined)).toBeUndefined();
    expect(searchHomography(same, SEVEN, TOLERANCE, createRandom(1))).toBeUndefined();
    expect(searchHomography(few, SEVEN.subarray(0, 3), TOLERANCE, createRandom(1))).toBeUndefined();
  });

  it("property: four matches of a plane give the homography of all", () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const { a, b } = views(20, seed, () => 4);
        const matches = matched(a, b);
        const found = searchHomography(matches, SEVEN.subarray(0, 4), TOLERANCE, createRandom(seed));
        // Four points of which three lie near one line fix no plane.
        return found === undefined || countOnPlane(found.matrix, matches, TOLERANCE) === 20;
      }),
      any,
    );
    const { a, b } = views(20, 1, () => 4);
    expect(searchHomography(matched(a, b), SEVEN, TOLERANCE, createRandom(1))?.cost).toBeLessThan(1e-18);
  });

  it("of a plane and two matches off it explain the others off it", () => {
    const { a, b } = views(10, 3, (_x, _y, r) => 3 + 3 * r);
    const start = fitOf(plane, [1, 1, 0, 0, 0, 0, 0, 0, 0, 0]);
    // A pool too small for seven: only the two off the plane are drawn.
    const found = searchEpipolar(matched(a, b), SEVEN.subarray(0, 2), TOLERANCE, createRandom(1), start);
    expect(worst(found!.matrix, a, b)).toBeLessThan(1e-18);
  });

  it("give none of two matches that lie on the plane", () => {
    const { a, b } = views(10, 3, () => 4);
    const start = fitOf(plane, [1, 1, 0, 0, 0, 0, 0, 0, 0, 0]);
    const found = searchEpipolar(matched(a, b), SEVEN.subarray(0, 2), TOLERANCE, createRandom(1), start);
    expect(found === undefined || countOnLines(found.matrix, matched(a, b), TOLERANCE) === 10).toBe(true);
  });

  it("draw the numbers that plain TypeScript draws next", () => {
    const { a, b } = views(20, 1, () => 4);
    const [used, fresh] = [createRandom(5), createRandom(5)];
    // Exact matches of one plane: one sample of four is enough, unless a number is drawn twice.
    searchHomography(
      matched(a, b),
      Int32Array.from({ length: 20 }, (_, i) => i),
      TOLERANCE,
      used,
    );
    for (let k = 0; k < 4; k++) fresh.next();
    expect(used.next()).toBe(fresh.next());
  });
});

describe("matches counted on a model", () => {
  it("are those within the tolerance, and none are told of a singular homography", () => {
    const { a, b } = views(9, 2, () => 4);
    b[0] += 0.1;
    expect(countOnPlane(plane, matched(a, b), TOLERANCE)).toBe(8);
    expect(countOnPlane(new Float64Array(9), matched(a, b), TOLERANCE)).toBeUndefined();
  });
});
