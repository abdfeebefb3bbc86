import { describe, expect, it } from "vitest";
import { sharedNumbers } from "#goodgate/runtime/memory.js";

describe("numbers that threads share", () => {
  it("lie in pieces of shared memory, many in one, each as it was given", () => {
    const lists = Array.from({ length: 50 }, (_, n) =>
      Uint16Array.from({ length: 40_000 }, (_, i) => (i * n) & 65535),
    );
    const held = lists.map(sharedNumbers);
    expect(held).toEqual(lists);
    const pieces = new Set(held.map(({ buffer }) => buffer));
    expect([...pieces].every((piece) => piece instanceof SharedArrayBuffer)).toBe(true);
    expect(pieces.size).toBeLessThanOrEqual(6);
  });

  it("may be more than a piece holds, or none", () => {
    const many = new Uint16Array(600_000).fill(7);
    expect(sharedNumbers(many)).toEqual(many);
    expect(sharedNumbers([])).toHaveLength(0);
  });
});
