import { describe, expect, test } from "vitest";
import { checks } from "#goodgate/checks/index.js";
import { roundNumber } from "#goodgate/measure/set/round.js";
import { asStored, count, listed, measuredAgainst, plainNumber, withUnit } from "#goodgate/report/wording.js";
import type { Limit } from "#goodgate/types/units.js";
import { m } from "../support/facts.js";

describe("wording", () => {
  test("one photo, two photos, no photos", () => {
    expect([0, 1, 2].map((n) => count(n, "photo"))).toEqual(["0 photos", "1 photo", "2 photos"]);
    expect(count(2, "match", "matches")).toBe("2 matches");
  });

  test("lists read as a person says them", () => {
    expect([[], ["a"], ["a", "b"], ["a", "b", "c"]].map(listed)).toEqual(["", "a", "a and b", "a, b and c"]);
  });

  test("numbers carry no more digits than they need", () => {
    expect([0, -0, 0.5, -0.824, 12.06, 340.7, 100].map((n) => plainNumber(n))).toEqual([
      "0",
      "0",
      "0.5",
      "-0.82",
      "12.1",
      "341",
      "100",
    ]);
  });

  test("every unit reads well", () => {
    expect(withUnit(m(0.714, "ratio"))).toBe("71.4 %");
    expect(withUnit(m(1, "stops"))).toBe("1 stop");
    expect(withUnit(m(-0.824, "stops"))).toBe("-0.82 stops");
    expect(withUnit(m(1, "photos"))).toBe("1 photo");
    expect(withUnit(m(25, "matches"))).toBe("25 matches");
  });

  test("limits stay as a limits file has them", () => {
    expect([m(0.25, "ratio"), m(1, "stops"), m(1.2, "stops"), m(0.87, "px at 1920")].map(asStored)).toEqual([
      "0.25 ratio",
      "1 stop",
      "1.2 stops",
      "0.87 px at a long edge of 1,920 px",
    ]);
  });

  test("a measure just past its limit does not look equal to it", () => {
    expect(measuredAgainst(m(0.5004, "stops"), m(0.5, "stops"))).toBe(
      "measured 0.5004 stops, limit 0.5 stops",
    );
    expect(measuredAgainst(m(0.5, "stops"), m(0.5, "stops"))).toBe("measured 0.5 stops, limit 0.5 stops");
    expect(measuredAgainst(m(3, "photos"), undefined)).toBe("measured 3 photos");
  });

  test("of no limit of any check can a measure be so near that both look alike", () => {
    const limits = checks.flatMap((check) => Object.values<Limit>(check.limits));
    const steps = [1e-3, 1e-2, 0.03, 0.1, 0.5];
    for (const limit of limits)
      for (const step of [...steps, ...steps.map((size) => -size)]) {
        const value = roundNumber(limit.value * (1 + step));
        if (value === limit.value) continue;
        const [measured, against] = measuredAgainst({ value, unit: limit.unit }, limit)
          .replace(/^measured /, "")
          .split(", limit ");
        expect(measured, `${limit.value} ${limit.unit}`).not.toBe(against!.split(", at ")[0]);
      }
  });

  test("pixels of a picture brought to one size say so, once", () => {
    expect(measuredAgainst(m(2.31, "px at 1920"), m(0.87, "px at 1920"))).toBe(
      "measured 2.31 px, limit 0.87 px, at a long edge of 1,920 px",
    );
  });
});
