import { describe, expect, it } from "vitest";
import { remember } from "#goodgate/measure/recent.js";

describe("what was made lately", () => {
  it("is not made again, until others pushed it out", () => {
    let made = 0;
    const squareOf = remember(2, (key) => {
      made++;
      return key * key;
    });
    expect([3, 4, 3, 4].map(squareOf)).toEqual([9, 16, 9, 16]);
    expect(made).toBe(2);
    squareOf(5);
    squareOf(3);
    expect(made).toBe(4);
  });
});
