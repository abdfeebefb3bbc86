import { describe, expect, it } from "vitest";
import { visible } from "#goodgate/controls.js";
import { printable } from "#goodgate/gather/errors.js";
import { readExifBlock } from "#goodgate/gather/exif.js";
import { renderJson } from "#goodgate/report/json.js";
import { exifBlock } from "./support/exif-writer.js";
import { facts, photo, report } from "./support/facts.js";

/** One of each sort, and the ends of each range. */
const CONTROLS = [
  ..."\u0001\n\u001b\u001f\u007f\u0080\u009b\u009f",
  ..."\u00ad\u200b\u200c\u200d\u2060\ufe0f\u{e0001}",
  ..."\u061c\u200e\u200f\u2028\u2029\u202a\u202e\u2066\u2069\ufeff",
  "\ud800",
];

describe.each(CONTROLS.map((character) => [character.charCodeAt(0).toString(16), character] as const))(
  "control character %s",
  (_code, character) => {
    it("is spelt out in the terminal, and a question mark in a reason", () => {
      expect(visible(`jug${character}`)).toMatch(/^jug\\[nxu]/);
      expect(printable(`jug${character}`)).toBe("jug?");
    });

    it("is escaped in JSON, and read back as it was", () => {
      const file = `jug${character}.jpg`;
      const text = renderJson(report(facts([photo(file)])));
      expect(text).toMatch(/"jug\\[nu]/);
      expect(JSON.parse(text).photos[0].file).toBe(file);
    });
  },
);

it("a camera's name is read without any", async () => {
  // EXIF's bytes are read as UTF-8, which has no halves of pairs.
  const name = `Lamp${CONTROLS.slice(0, -1).join("")}light`;
  expect(
    await readExifBlock(
      exifBlock({ ifd0: [{ tag: 0x010f, type: "ascii", value: Buffer.from(name).toString("latin1") }] }),
    ),
  ).toMatchObject({
    make: "Lamplight",
  });
});

describe("visible", () => {
  it("spells out what could steer a terminal", () => {
    expect(visible("a\u001b[2Jb\n\u0000\u009b\u202e")).toBe("a\\x1b[2Jb\\n\\x00\\x9b\\u202e");
  });

  it("leaves names in any script alone", () => {
    for (const name of ["Krug 1.jpg", "кувшин.jpg", "水差し.jpg", "é\u0301.jpg", "jug 🏺.jpg"])
      expect(visible(name)).toBe(name);
  });

  it("half of a character pair is spelt out", () => {
    expect(visible("\ud800.jpg")).toBe("\\ud800.jpg");
  });
});
