import { describe, expect, test } from "vitest";
import { editDistance, nearest } from "#goodgate/nearest.js";

describe("editDistance", () => {
  test("worked by hand", () => {
    expect(editDistance("", "abc")).toBe(3);
    expect(editDistance("strict", "strict")).toBe(0);
    expect(editDistance("strct", "strict")).toBe(1);
    expect(editDistance("stirct", "strict")).toBe(1);
    expect(editDistance("kitten", "sitting")).toBe(3);
  });
});

describe("nearest", () => {
  test("finds a slip of the hand, and nothing for another word", () => {
    expect(nearest("--quite", ["--json", "--quiet"])).toBe("--quiet");
    expect(nearest("--frobnicate", ["--json", "--quiet"])).toBeUndefined();
  });
});
