import { describe, expect, test } from "vitest";
import { countsOf, photosToAdd } from "#goodgate/report/counts.js";
import { finding } from "../support/facts.js";
import { jugReport } from "../support/jug-report.js";

describe("countsOf", () => {
  test("each photo falls under one verdict, an unreadable file under reshoot", () => {
    const { facts, judgement } = jugReport();
    expect(countsOf(facts, judgement)).toEqual({
      photos: 49,
      pass: 41,
      edit: 1,
      leaveOut: 2,
      reshoot: 5,
      toAdd: 2,
    });
  });
});

describe("photosToAdd", () => {
  const add = (about: "between" | "set", toAdd: number, severity: "reshoot" | "note" = "reshoot") =>
    finding({ check: "c", about, severity, photos: [], toAdd });

  test("photos between others count towards a set that is too small", () => {
    expect(photosToAdd([add("between", 1), add("between", 2)])).toBe(3);
    expect(photosToAdd([add("between", 1), add("set", 8)])).toBe(8);
    expect(photosToAdd([add("between", 5), add("between", 5), add("set", 8)])).toBe(10);
  });

  test("a ring that is too wide throughout adds to the gaps in others", () => {
    const ring = finding({
      check: "c",
      about: "set",
      severity: "reshoot",
      photos: ["jug_001.jpg"],
      toAdd: 12,
    });
    expect(photosToAdd([add("between", 2), ring, add("set", 8)])).toBe(14);
  });

  test("a note asks for nothing", () => {
    expect(photosToAdd([add("set", 8, "note")])).toBe(0);
  });
});
