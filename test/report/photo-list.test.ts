import { describe, expect, test } from "vitest";
import { captureOrder, photoList } from "#goodgate/report/photo-list.js";
import { jugNames } from "../support/facts.js";

const names = jugNames(20);
const order = captureOrder(names.map((file) => ({ file })));
const pick = (...numbers: number[]) => numbers.map((n) => names[n - 1]!);

describe("photoList", () => {
  test("two are named, three that follow one another are a range", () => {
    expect(photoList(pick(4, 5), order)).toBe("jug_004.jpg and jug_005.jpg");
    expect(photoList(pick(4, 5, 6), order)).toBe("jug_004.jpg to jug_006.jpg (3 photos)");
  });

  test("names come in capture order, whatever order they are given in", () => {
    expect(photoList(pick(9, 2, 5), order)).toBe("jug_002.jpg, jug_005.jpg and jug_009.jpg");
  });

  test("a long list ends in how many more there are, and the numbers add up", () => {
    expect(photoList(pick(1, 3, 5, 7, 9, 11, 12, 13, 14, 20), order)).toBe(
      "jug_001.jpg, jug_003.jpg, jug_005.jpg, jug_007.jpg, jug_009.jpg and 5 more",
    );
  });

  test("a list that just fits is whole", () => {
    expect(photoList(pick(1, 3, 5, 7, 9, 11), order)).toBe(
      "jug_001.jpg, jug_003.jpg, jug_005.jpg, jug_007.jpg, jug_009.jpg and jug_011.jpg",
    );
  });

  test("the whole set is said as such", () => {
    expect(photoList(names, order)).toBe("all 20 photos");
  });

  test("files that have no place in the order come last, each by name", () => {
    expect(photoList(["b.heic", "a.heic", names[1]!], order)).toBe("jug_002.jpg, b.heic and a.heic");
  });
});
