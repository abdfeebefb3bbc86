import { describe, expect, it } from "vitest";
import { turnedSubjects } from "./around-turned.js";
import { standingStill, twoViews } from "./around-two-views.js";
import { wholeSets } from "./around-whole-sets.js";
import { met, type Section } from "./table.js";

/** Rows that miss their bar; a figure that could not be measured is none. */
function missed({ rows }: Section): string[] {
  return rows
    .filter((row) => row.measured.every((value) => !Number.isNaN(value)) && !met(row))
    .map(({ what, measured }) => `${what}: ${measured.join(" / ")}`);
}

describe("a slice of the evaluation around the subject holds every bar", () => {
  it("two views, with a wall behind and without", { timeout: 120_000 }, () => {
    expect(missed(twoViews(5))).toEqual([]);
  });

  it("standing still and stepping", { timeout: 120_000 }, () => {
    expect(missed(standingStill(4))).toEqual([]);
  });

  it("subjects turned before a camera at rest, and walks", { timeout: 120_000 }, () => {
    expect(missed(turnedSubjects(2))).toEqual([]);
  });

  it("whole rings, holes, a split and a wrong focal length", { timeout: 240_000 }, () => {
    const [summary] = wholeSets(3, ["before a wall", "two holes of 80", "focal 10 % short"]);
    expect(missed(summary)).toEqual([]);
  });
});
