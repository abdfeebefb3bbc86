import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { goldenFiles, goldenFolder } from "./golden.js";

describe("saved reports", () => {
  for (const [name, render] of Object.entries(goldenFiles))
    test(`${name} comes out byte for byte`, () => {
      expect(render()).toBe(readFileSync(`${goldenFolder}/${name}`, "utf8"));
    });

  test("the folder holds nothing that is not made", () => {
    expect(readdirSync(goldenFolder).toSorted()).toEqual(
      ["README.md", ...Object.keys(goldenFiles)].toSorted(),
    );
  });
});
