import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { codeOfLight, createCells } from "#goodgate/measure/photo/cells.js";
import { dropSpecks } from "#goodgate/measure/subject/components.js";
import { type Affinity, affinityOf, spread } from "#goodgate/measure/subject/spread.js";

/** A row of cells with these affinities between them. */
const row = (...between: number[]): Affinity => ({
  columns: between.length + 1,
  rows: 1,
  right: Float32Array.of(...between, 0),
  below: new Float32Array(between.length + 1),
});

describe("spreading what is known", () => {
  test("two like cells that observation 0 and 1 meet at a third and two thirds", () => {
    // p^2 + (q - 1)^2 + (p - q)^2 is least where 2 p = q and 2 q = 1 + p.
    const [p, q] = spread(row(1), Float32Array.of(1, 1), Float32Array.of(0, 1));
    expect(p).toBeCloseTo(1 / 3, 3);
    expect(q).toBeCloseTo(2 / 3, 3);
  });

  test("an edge keeps two cells apart", () => {
    const [p, q] = spread(row(1e-3), Float32Array.of(1, 1), Float32Array.of(0, 1));
    expect(p).toBeLessThan(0.01);
    expect(q).toBeGreaterThan(0.99);
  });

  test("what is known of one cell reaches its like through cells of which nothing is known", () => {
    const weight = Float32Array.of(1, 1e-4, 1e-4, 1);
    const [, , third] = spread(row(1, 1, 1e-3), weight, Float32Array.of(1, 0.5, 0.5, 0));
    expect(third).toBeGreaterThan(0.95);
  });

  test("never leaves the range of the observations, and one observation of all is everywhere", () => {
    const cell = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(fc.array(cell, { minLength: 12, maxLength: 12 }), cell, (observations, same) => {
        const affinity: Affinity = {
          columns: 4,
          rows: 3,
          right: Float32Array.from({ length: 12 }, (_, i) => (i % 4 === 3 ? 0 : 0.3 + 0.05 * i)),
          below: Float32Array.from({ length: 12 }, (_, i) => (i >= 8 ? 0 : 0.9 - 0.1 * i)),
        };
        const weight = new Float32Array(12).fill(0.2);
        for (const value of spread(affinity, weight, Float32Array.from(observations))) {
          expect(value).toBeGreaterThan(Math.min(...observations) - 0.01);
          expect(value).toBeLessThan(Math.max(...observations) + 0.01);
        }
        for (const value of spread(affinity, weight, new Float32Array(12).fill(same)))
          expect(value).toBeCloseTo(same, 4);
      }),
      { seed: 1, numRuns: 50 },
    );
  });

  test("affinity falls over a change of light and is 1 where nothing changes", () => {
    const cells = createCells(4, 1);
    for (const channel of [cells.red, cells.green, cells.blue])
      channel.set([codeOfLight(0.1), codeOfLight(0.1), codeOfLight(0.6), codeOfLight(0.6)]);
    const { right, below } = affinityOf(cells);
    expect([...right].map((value) => value > 0.5)).toEqual([true, false, true, false]);
    expect(right[0]).toBe(1);
    expect([...below]).toEqual([0, 0, 0, 0]);
  });
});

describe("specks", () => {
  test("a lone cell beside a piece of twelve goes, a piece of two stays", () => {
    const columns = 9;
    const share = new Float32Array(5 * columns);
    for (const cell of [0, 1, 2, 3, 9, 10, 11, 12, 18, 19, 20, 21]) share[cell] = 1;
    share[8] = 1;
    for (const cell of [42, 43]) share[cell] = 1;
    dropSpecks(share, columns, 5);
    expect(share[8]).toBeLessThan(0.5);
    expect(share[0]).toBe(1);
    expect(share[42]).toBe(1);
  });
});
