import { describe, expect, it } from "vitest";
import { cellsOf, innerOf, type Region, sureOf } from "#goodgate/measure/light/region.js";

/** A rectangle of subject in a grid of 20 x 20 cells, its rim half sure. */
function rectangle(left: number, right: number, top: number, bottom: number, rim = 1): Region {
  const share = new Float32Array(400);
  for (let row = top; row < bottom; row++) {
    for (let column = left; column < right; column++) {
      const onRim = row === top || row === bottom - 1 || column === left || column === right - 1;
      share[20 * row + column] = onRim ? rim : 1;
    }
  }
  return { columns: 20, rows: 20, share };
}

describe("a region", () => {
  it("without its rim has lost two cells on every side", () => {
    expect(cellsOf(innerOf(rectangle(2, 18, 2, 18)))).toHaveLength(12 * 12);
  });

  it("goes on beyond the frame's edge", () => {
    // Cut by the left edge: nothing is taken off there.
    expect(cellsOf(innerOf(rectangle(0, 16, 2, 18)))).toHaveLength(14 * 12);
  });

  it("keeps its rim where it is all rim", () => {
    expect(cellsOf(innerOf(rectangle(9, 12, 2, 18)))).toHaveLength(3 * 16);
  });

  it("is sure where most of it is, and taken whole where too little is", () => {
    expect(cellsOf(sureOf(rectangle(2, 18, 2, 18, 0.6)))).toHaveLength(14 * 14);
    expect(cellsOf(sureOf(rectangle(9, 12, 9, 12, 0.6)))).toHaveLength(9);
  });
});
