import { expect, test } from "vitest";
import { outlineOf } from "#goodgate/measure/subject/outline.js";

/** A region drawn with "#" for the subject. */
const region = (...rows: string[]) => ({
  columns: rows[0]!.length,
  rows: rows.length,
  share: Float32Array.from([...rows.join("")], (mark) => (mark === "#" ? 1 : 0)),
});
/** Twice the area that lines enclose, holes taken off, share of the frame. */
const area = (lines: readonly (readonly number[])[]) =>
  lines.reduce((sum, line) => {
    let twice = 0;
    for (let k = 0; k < line.length; k += 2) {
      const next = (k + 2) % line.length;
      twice += line[k]! * line[next + 1]! - line[next]! * line[k + 1]!;
    }
    return sum + twice / 2;
  }, 0);

test("a box has its four corners", () => {
  const lines = outlineOf(region("........", "..####..", "..####..", "..####..", "........"));
  expect(lines).toEqual([[0.25, 0.2, 0.75, 0.2, 0.75, 0.8, 0.25, 0.8]]);
});

test("a region cut off by the frame runs along its edge", () => {
  const [line] = outlineOf(region("####....", "####....", "####...."));
  expect(line).toEqual([0, 0, 0.5, 0, 0.5, 1, 0, 1]);
});

test("a hole has a line of its own, the other way round", () => {
  const lines = outlineOf(
    region("#######", "#######", "##...##", "##...##", "##...##", "#######", "#######"),
  );
  expect(lines).toHaveLength(2);
  expect(area(lines)).toBeCloseTo(1 - 9 / 49, 6);
});

test("two pieces have two lines, and pieces that touch at a corner keep their area", () => {
  expect(outlineOf(region("###...###", "###...###", "###...###"))).toHaveLength(2);
  const lines = outlineOf(region("####....", "####....", "####....", "....####", "....####", "....####"));
  expect(area(lines)).toBeCloseTo(0.5, 6);
});

test("steps of the grid go, and the area stays", () => {
  const side = 60;
  const rows = Array.from({ length: side }, (_, y) =>
    Array.from({ length: side }, (_, x) => (Math.hypot(x - 29.5, y - 29.5) < 20 ? "#" : ".")).join(""),
  );
  const lines = outlineOf(region(...rows));
  expect(lines).toHaveLength(1);
  expect(lines[0]!.length / 2).toBeLessThan(40);
  expect(area(lines) * side ** 2).toBeCloseTo(Math.PI * 400, -2);
});

test("nothing has no outline", () => {
  expect(outlineOf(region("....", "...."))).toEqual([]);
});
