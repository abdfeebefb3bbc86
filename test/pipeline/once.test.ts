import { describe, expect, it } from "vitest";
import { onceEach } from "#goodgate/pipeline/once.js";

describe("doing once what is alike", () => {
  it("keeps the first of each kind and tells every item where it stands", () => {
    const { firsts, placeOf } = onceEach(["a1", "b1", "a2", "c1", "b2"], (text) => text[0]);
    expect(firsts).toEqual(["a1", "b1", "c1"]);
    expect(placeOf).toEqual([0, 1, 0, 2, 1]);
  });

  it("takes items without a key for unlike any other", () => {
    const { firsts, placeOf } = onceEach(["x", "x"], () => undefined);
    expect([firsts, placeOf]).toEqual([
      ["x", "x"],
      [0, 1],
    ]);
    expect(onceEach([], String)).toEqual({ firsts: [], placeOf: [] });
  });
});
