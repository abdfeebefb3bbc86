import { expect, test } from "vitest";
import { IDENTITY } from "#goodgate/measure/geometry/rotation.js";
import { depthsOf, nearestPointToRays, solveSymmetric3 } from "#goodgate/measure/geometry/triangulate.js";

// Camera b stands one unit to the right of a, so points move one unit to the left: t = (-1, 0, 0).
const step = { rotation: IDENTITY, translation: [-1, 0, 0] };

test("a point 4 ahead moves by a quarter", () => {
  const { inA, inB, parallax } = depthsOf(Float64Array.of(0, 0, -0.25, 0), step);
  expect(inA[0]).toBeCloseTo(4, 12);
  expect(inB[0]).toBeCloseTo(4, 12);
  expect(parallax[0]).toBeCloseTo(1 / Math.hypot(1, 4), 12);
});

test("a point that moves the wrong way lies behind", () => {
  expect(depthsOf(Float64Array.of(0, 0, 0.25, 0), step).inA[0]).toBeCloseTo(-4, 12);
});

test("two crossing rays meet where they cross", () => {
  const d = Math.SQRT1_2;
  const point = nearestPointToRays(
    [
      [0, 0, 0],
      [2, 0, 0],
    ],
    [
      [d, d, 0],
      [-d, d, 0],
    ],
  );
  expect(point?.[0]).toBeCloseTo(1, 9);
  expect(point?.[1]).toBeCloseTo(1, 9);
  expect(point?.[2]).toBeCloseTo(0, 9);
});

test("parallel rays meet nowhere", () => {
  const along = [0, 0, 1];
  expect(
    nearestPointToRays(
      [
        [0, 0, 0],
        [1, 0, 0],
      ],
      [along, along],
    ),
  ).toBeUndefined();
});

test("the symmetric solver inverts by hand: diag(2, 4, 5)", () => {
  expect(solveSymmetric3([2, 0, 0, 4, 0, 5], [2, 4, 5])).toEqual([1, 1, 1]);
  expect(solveSymmetric3([0, 0, 0, 1, 0, 1], [1, 1, 1])).toBeUndefined();
});
