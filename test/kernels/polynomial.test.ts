import fc from "fast-check";
import { expect, test } from "vitest";
import { withArena } from "#goodgate/kernels/arena.js";
import { kernels } from "#goodgate/kernels/kernels.js";

function realRoots(coefficients: readonly number[], bound: number): number[] {
  return withArena((arena) => {
    const out = arena.take(8 * 10);
    const degree = coefficients.length - 1;
    const count = kernels().realRoots(arena.doubles(coefficients), degree, bound, out);
    return Array.from(arena.f64(out, count));
  });
}

test("(x - 1)(x + 2)(x - 3) has these three roots", () => {
  const roots = realRoots([6, -5, -2, 1], 100);
  expect(roots).toHaveLength(3);
  [-2, 1, 3].forEach((root, k) => expect(roots[k]).toBeCloseTo(root, 10));
});

test("x squared + 1 has no real root; a constant has none", () => {
  expect(realRoots([1, 0, 1], 100)).toEqual([]);
  expect(realRoots([5], 100)).toEqual([]);
});

test("roots beyond the bound are left out", () => {
  const roots = realRoots([-40, 1], 10);
  expect(roots).toEqual([]);
});

test("ten well separated roots come back", () => {
  fc.assert(
    fc.property(
      fc.uniqueArray(fc.integer({ min: -12, max: 12 }), { minLength: 10, maxLength: 10 }),
      (wanted) => {
        let coefficients = [1];
        for (const root of wanted) {
          const next = new Array<number>(coefficients.length + 1).fill(0);
          coefficients.forEach((c, k) => {
            next[k + 1] += c;
            next[k] -= (root / 10) * c;
          });
          coefficients = next;
        }
        const found = realRoots(coefficients, 5);
        expect(found).toHaveLength(10);
        [...wanted].sort((p, q) => p - q).forEach((root, k) => expect(found[k]).toBeCloseTo(root / 10, 4));
      },
    ),
    { numRuns: 50 },
  );
});
