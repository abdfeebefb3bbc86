import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { displayWidth, padEnd, shorten, wrap } from "#goodgate/report/text.js";

describe("displayWidth", () => {
  test("counts a wide character twice and a combining mark not at all", () => {
    expect(displayWidth("jug")).toBe(3);
    expect(displayWidth("水差し")).toBe(6);
    expect(displayWidth("e\u0301")).toBe(1);
  });

  test("padding reaches the width", () => {
    expect(padEnd("水", 4)).toBe("水  ");
    expect(padEnd("too long", 3)).toBe("too long");
  });
});

describe("wrap", () => {
  test("breaks between words", () => {
    expect(wrap("take it again from there", 10)).toEqual(["take it", "again from", "there"]);
  });

  test("cuts only a word longer than the line", () => {
    expect(wrap("a abcdefghi b", 4)).toEqual(["a ab", "cdef", "ghi", "b"]);
  });

  test("keeps every letter and no line is too wide", () => {
    fc.assert(
      fc.property(fc.string({ unit: "grapheme" }), fc.integer({ min: 4, max: 40 }), (text, width) => {
        const lines = wrap(text, width);
        for (const line of lines) expect(displayWidth(line)).toBeLessThanOrEqual(width);
        expect(lines.join("").replaceAll(/\s/g, "")).toBe(text.normalize().replaceAll(/\s/g, ""));
      }),
      { seed: 3, numRuns: 300 },
    );
  });
});

describe("shorten", () => {
  test("keeps the beginning and the end, which holds the number", () => {
    expect(shorten("a_very_long_name_of_a_photo_0012.jpg", 20)).toBe("a_ver...oto_0012.jpg");
    expect(shorten("jug.jpg", 20)).toBe("jug.jpg");
  });
});
