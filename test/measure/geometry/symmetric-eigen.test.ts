import { expect, test } from "vitest";
import { symmetricEigen } from "#goodgate/measure/geometry/symmetric-eigen.js";

test("a 2 x 2 matrix by hand: 2 1 / 1 2 has eigenvalues 1 and 3", () => {
  const { values, vectors } = symmetricEigen([2, 1, 1, 2], 2);
  expect(values[0]).toBeCloseTo(1, 12);
  expect(values[1]).toBeCloseTo(3, 12);
  expect(Math.abs(vectors[1][0])).toBeCloseTo(Math.SQRT1_2, 12);
  expect(vectors[1][0]).toBeCloseTo(vectors[1][1], 12);
});

test("values ascend and vectors rebuild the matrix", () => {
  const m = [4, 1, -2, 1, 2, 0.5, -2, 0.5, 3];
  const { values, vectors } = symmetricEigen(m, 3);
  expect([...values].sort((p, q) => p - q)).toEqual(values);
  for (let r = 0; r < 3; r++) {
    for (let c = 0; c < 3; c++) {
      const sum = values.reduce((s, value, k) => s + value * vectors[k][r] * vectors[k][c], 0);
      expect(sum).toBeCloseTo(m[3 * r + c], 12);
    }
  }
});
