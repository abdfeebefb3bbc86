import { describe, expect, test } from "vitest";
import { contradictedPhotos, holdsOf } from "#goodgate/measure/poses/link-fit.js";
import { tellApart } from "#goodgate/measure/poses/look-alikes.js";
import {
  isContradicted,
  type SolvedSet,
  solveSet,
  statedCamera,
} from "#goodgate/measure/poses/solved-set.js";
import { randomSource, ring } from "./synthetic.js";
import { synthesise } from "./whole-set.js";

const solved = (tried: SolvedSet["tried"]): SolvedSet => ({ tried }) as SolvedSet;

describe("photos whose place contradicts what they share", () => {
  const linkFit = (i: number, j: number, matches: number, fitting: number) => ({ i, j, matches, fitting });

  test("one whose matches mostly fit nowhere near is contradicted, its neighbours are not", () => {
    const fits = [
      linkFit(0, 1, 200, 195),
      linkFit(1, 2, 200, 190),
      linkFit(0, 2, 150, 140),
      linkFit(2, 3, 100, 20),
      linkFit(1, 3, 90, 10),
    ];
    expect([...contradictedPhotos(4, solved([]), fits)]).toEqual([3]);
  });

  test("matches on the line do not count where the turn itself is another", () => {
    const tried = [{ i: 1, j: 2, matches: 200, residualDeg: 40 }];
    const fits = [linkFit(0, 1, 300, 290), linkFit(1, 2, 200, 190)];
    expect([...contradictedPhotos(3, solved(tried), fits)]).toEqual([2]);
  });

  test("links hold of which most matches fit, and where the turn itself is not another", () => {
    const tried = [{ i: 1, j: 2, matches: 200, residualDeg: 40 }];
    const fits = [linkFit(0, 1, 300, 290), linkFit(1, 2, 200, 190), linkFit(0, 2, 100, 50)];
    expect(holdsOf(solved(tried), fits)).toEqual([{ i: 0, j: 1, fitting: 290 }]);
  });

  test("few matches contradict nothing, and a link between parts neither", () => {
    expect(isContradicted({ i: 0, j: 1, matches: 59, residualDeg: 90 })).toBe(false);
    expect(isContradicted({ i: 0, j: 1, matches: 500 })).toBe(false);
    expect(isContradicted({ i: 0, j: 1, matches: 60, residualDeg: 16 })).toBe(true);
  });
});

test("a ring whose links agree is left as it is", () => {
  const { photos, pairs } = synthesise(ring({ photos: 24, elevationDeg: 20 }, randomSource(5)), 7);
  const stated = photos.map(statedCamera);
  const set = solveSet(photos, pairs, stated);
  expect(tellApart(photos, pairs, stated, set)).toEqual({ set, pairs, undecided: false });
});
