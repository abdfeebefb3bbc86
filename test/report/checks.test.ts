import { describe, expect, test } from "vitest";
import { type CheckText, renderCheck, renderCheckList } from "#goodgate/report/checks.js";
import { renderChecksMarkdown, renderLimitsMarkdown } from "../docs/markdown.js";

const soft: CheckText = {
  id: "soft-photo",
  title: "a photo out of focus",
  measures: "How much fine detail there is on surfaces that the photos beside it show too.",
  why: "A soft photo smears the surface of the model.",
  advice: "Take it again.",
  limits: { softer: { value: -0.5, unit: "stops", source: "made up | for this test", range: [-9, 0] } },
};
const stored: CheckText = { ...soft, id: "stored-location", title: "a stored location", limits: {} };

describe("the checks, told", () => {
  test("the list has each id and title", () => {
    expect(renderCheckList([soft, stored], 80)).toContain("soft-photo       a photo out of focus\n");
  });

  test("one in full has its limit, unit and source", () => {
    const text = renderCheck(soft, 80);
    for (const part of [soft.measures, soft.why, soft.advice])
      expect(text.replaceAll(/\s+/g, " ")).toContain(part);
    expect(text).toContain("softer = -0.5 stops; can be set from -9 to 0. Why: made up");
    expect(Math.max(...text.split("\n").map((line) => line.length))).toBeLessThanOrEqual(80);
  });

  test("one in full begins with what it means to whoever takes photos", () => {
    const text = renderCheck(soft, 80).replaceAll(/\s+/g, " ");
    const places = [soft.title, soft.why, soft.advice, soft.measures, "Limit"].map((part) =>
      text.indexOf(part),
    );
    expect(places).toEqual(places.toSorted((a, b) => a - b));
  });

  test("a check without limits says so", () => {
    expect(renderCheck(stored, 80)).toContain("none");
  });

  test("the pages name every check and every limit, with bars inside a cell escaped", () => {
    const checks = renderChecksMarkdown([soft, stored]);
    expect(checks).toContain("## soft-photo");
    expect(checks).toContain("## stored-location");
    expect(renderLimitsMarkdown([soft, stored])).toContain(
      "| `soft-photo` | `softer` | -0.5 stops | -9 to 0 | made up \\| for this test |",
    );
  });
});
