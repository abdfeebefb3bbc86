import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { firmGroups, type Hold, loosenessOf } from "#goodgate/measure/poses/held.js";

const hold = (i: number, j: number, fitting: number): Hold => ({ i, j, fitting });
const chain = (from: number, count: number, fitting: number): Hold[] =>
  Array.from({ length: count - 1 }, (_, k) => hold(from + k, from + k + 1, fitting));
const numbers = (count: number): number[] => [...Array(count).keys()];

describe("groups of photos that stand or fall together", () => {
  test("a photo that few matches hold is a group of its own, one that enough hold is not", () => {
    const holds = [hold(0, 1, 290), hold(1, 2, 40), hold(0, 3, 78)];
    expect(firmGroups([0, 1, 2, 3], holds, { enough: 60, apart: 3 })).toEqual([[0, 1, 3], [2]]);
    expect(firmGroups([0, 1, 2, 3], holds, { enough: 40, apart: 3 })).toEqual([[0, 1, 2, 3]]);
  });

  test("matches of several links at one place add up", () => {
    const holds = [...chain(0, 4, 300), ...chain(4, 3, 200), hold(3, 4, 40), hold(2, 5, 30)];
    expect(firmGroups(numbers(7), holds, { enough: 100, apart: 3 })).toEqual([
      [0, 1, 2, 3],
      [4, 5, 6],
    ]);
    expect(firmGroups(numbers(7), holds, { enough: 70, apart: 3 })).toEqual([numbers(7)]);
  });

  test("links to two photos are two places where no photo is near another", () => {
    const holds = [...chain(0, 4, 300), hold(2, 4, 30), hold(3, 4, 20)];
    expect(firmGroups(numbers(5), holds, { enough: 60, apart: 0 })).toEqual([numbers(5)]);
    expect(firmGroups(numbers(5), holds, { enough: 60, apart: 1 })).toEqual([[0, 1, 2, 3], [4]]);
    expect(firmGroups(numbers(5), [...chain(0, 4, 300), hold(3, 4, 59)], { enough: 60, apart: 0 })).toEqual([
      [0, 1, 2, 3],
      [4],
    ]);
  });

  test("few matches at two places of a loop confirm each other", () => {
    const holds = [...chain(0, 8, 300), ...chain(8, 3, 200), hold(7, 8, 30)];
    expect(firmGroups(numbers(11), holds, { enough: 60, apart: 3 })).toHaveLength(2);
    expect(firmGroups(numbers(11), [...holds, hold(0, 10, 25)], { enough: 60, apart: 3 })).toEqual([
      numbers(11),
    ]);
  });

  test("photos that nothing joins are groups of their own, the largest first", () => {
    expect(
      firmGroups([2, 3, 5, 8, 9], [hold(5, 8, 500), hold(8, 9, 90), hold(2, 3, 80)], {
        enough: 60,
        apart: 3,
      }),
    ).toEqual([
      [5, 8, 9],
      [2, 3],
    ]);
    expect(firmGroups([], [], { enough: 60, apart: 3 })).toEqual([]);
  });
});

describe("how loosely photos are held", () => {
  const looseness = (count: number, holds: readonly Hold[]) => loosenessOf(numbers(count), holds);

  // Diagonals of pseudoinverses of graph Laplacians in closed form: of a path of three 5/9, 2/9, 5/9; of the complete graph
  // on n nodes (n - 1) / n^2 (Barooah and Hespanha 2007; worked out by hand).
  test("is the effective resistance: of a chain of three, and of all photos joined to all", () => {
    const ofThree = looseness(3, [hold(0, 1, 1), hold(1, 2, 1)]);
    for (const [k, value] of [5 / 9, 2 / 9, 5 / 9].entries()) expect(ofThree[k]).toBeCloseTo(value, 10);
    const all = numbers(6).flatMap((i) => numbers(i).map((j) => hold(j, i, 1)));
    for (const value of looseness(6, all)) expect(value).toBeCloseTo(5 / 36, 10);
  });

  test("falls as matches grow, and with every further link", () => {
    const property = fc.property(
      fc.integer({ min: 3, max: 12 }),
      fc.integer({ min: 1, max: 500 }),
      fc.integer({ min: 2, max: 9 }),
      (count, matches, times) => {
        const one = looseness(count, chain(0, count, matches));
        const more = looseness(count, chain(0, count, times * matches));
        const looped = looseness(count, [...chain(0, count, matches), hold(0, count - 1, matches)]);
        for (const [k, value] of one.entries()) expect(more[k]).toBeCloseTo(value / times, 8);
        expect(looped[0]).toBeLessThan(one[0]);
      },
    );
    fc.assert(property);
  });

  test("one photo alone is as it is", () => {
    expect(looseness(1, [])[0]).toBeCloseTo(0, 10);
  });

  test("of more than 300 photos it is the sum along the shortest chain to the photo that is held best", () => {
    const holds = [...chain(0, 401, 100), hold(0, 200, 50)];
    const values = looseness(401, holds);
    for (const k of [150, 199, 200, 201, 400]) expect(values[k]).toBeCloseTo(Math.abs(k - 200) / 100, 10);
    expect(values[0]).toBeCloseTo(1 / 50, 10);
    expect(values[10]).toBeCloseTo(1 / 50 + 10 / 100, 10);
  });
});
