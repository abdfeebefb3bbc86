import { expect, test } from "vitest";
import { solveLeastSquares } from "#goodgate/measure/around/cholesky.js";

test("a line through (0, 1), (1, 2) and (2, 6), by hand: 0.5 + 2.5 x", () => {
  const [start, slope] = solveLeastSquares(
    [
      [1, 0],
      [1, 1],
      [1, 2],
    ],
    [1, 2, 6],
  );
  expect(start).toBeCloseTo(0.5, 12);
  expect(slope).toBeCloseTo(2.5, 12);
});

test("rows that leave an unknown open are an error", () => {
  expect(() => solveLeastSquares([[1, 0]], [1])).toThrow(RangeError);
});
