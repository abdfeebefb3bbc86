import { describe, expect, it } from "vitest";
import { collectGarbage, sharedNumbers } from "#goodgate/runtime/memory.js";

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

describe("garbage that is collected", () => {
  it("is given back by the time that is said, not some time later", () => {
    const photo = 8 * 2 ** 20;
    const photos = Array.from({ length: 32 }, (_, k) => new Uint8Array(photo).fill(k + 1));
    const held = process.memoryUsage.rss();
    photos.length = 0;
    collectGarbage();
    expect(held - process.memoryUsage.rss()).toBeGreaterThan(28 * photo);
  });
});
