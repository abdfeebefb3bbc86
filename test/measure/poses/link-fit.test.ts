import { describe, expect, test } from "vitest";
import { contradictedPhotos, firmlyHeld } from "#goodgate/measure/poses/link-fit.js";
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

  test("a photo held by one weak link alone is not placed, by a strong one it is", () => {
    const fits = [linkFit(0, 1, 300, 290), linkFit(1, 2, 40, 40), linkFit(0, 3, 80, 78)];
    expect(firmlyHeld([0, 1, 2, 3], solved([]), fits)).toEqual([0, 1, 3]);
  });

  test("nor is a group of them, unless two weak links make a loop", () => {
    const strong = [linkFit(0, 1, 300, 290), linkFit(1, 2, 300, 290), linkFit(3, 4, 200, 190)];
    const photos = [0, 1, 2, 3, 4];
    expect(firmlyHeld(photos, solved([]), [...strong, linkFit(2, 3, 54, 54)])).toEqual([0, 1, 2]);
    const loop = [...strong, linkFit(2, 3, 54, 54), linkFit(0, 4, 35, 33)];
    expect(firmlyHeld(photos, solved([]), loop)).toEqual(photos);
    // One that does not fit closes no loop.
    expect(firmlyHeld(photos, solved([]), [...strong, linkFit(2, 3, 54, 54), linkFit(0, 4, 35, 9)])).toEqual([
      0, 1, 2,
    ]);
    const without = photos.filter((photo) => photo !== 0);
    expect(firmlyHeld(without, solved([]), loop)).toEqual([1, 2]);
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
