import { expect, test } from "vitest";
import { NormalEquations, nearestPointToRays } from "#goodgate/measure/geometry/normal-equations.js";

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

test("three wishes for three unknowns are met: 2 x = 2, 4 y = 4, 5 z = 5", () => {
  const sums = new NormalEquations();
  sums.addRow(2, 0, 0, 2, 1);
  sums.addRow(0, 4, 0, 4, 1);
  sums.addRow(0, 0, 5, 5, 1);
  expect(sums.products).toEqual([4, 0, 0, 16, 0, 25]);
  expect(sums.solve()).toEqual([1, 1, 1]);
});

test("wishes that contradict are met by their weights: x = 1 three times as much as x = 5 is x = 2", () => {
  const sums = new NormalEquations();
  sums.addRow(1, 0, 0, 1, 3);
  sums.addRow(1, 0, 0, 5, 1);
  sums.addRow(0, 1, 0, 0, 1);
  sums.addRow(0, 0, 1, 0, 1);
  expect(sums.solve()?.[0]).toBeCloseTo(2, 12);
});

test("two wishes leave three unknowns open", () => {
  const sums = new NormalEquations();
  sums.addRow(0, 1, 0, 1, 1);
  sums.addRow(0, 0, 1, 1, 1);
  expect(sums.solve()).toBeUndefined();
});
