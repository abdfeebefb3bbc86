import { expect, test } from "vitest";
import { IDENTITY } from "#goodgate/measure/geometry/rotation.js";
import { depthsOf } from "#goodgate/measure/geometry/triangulate.js";

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
