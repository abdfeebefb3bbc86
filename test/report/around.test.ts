import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { coveragePictures } from "#goodgate/report/around.js";
import { displayWidth } from "#goodgate/report/text.js";
import type { Facts } from "#goodgate/types/facts.js";
import { azimuths, factsAround, standsAt } from "../support/around.js";
import { judgedReport } from "../support/facts.js";

const rowsOf = (facts: Facts, width = 60) => {
  const [picture] = coveragePictures(judgedReport(facts), width);
  return Object.fromEntries(picture!.lines.map(({ label, text }) => [label.split(" ")[0] ?? "", text]));
};

describe("coveragePictures", () => {
  test("a full ring: a photo every 12 degrees is a mark in every other column, and no gap", () => {
    const rows = rowsOf(factsAround(standsAt(azimuths(12), 25)));
    expect(rows[""]).toBe("6    7    8    9    10   11   12   1    2    3    4    5");
    expect(rows.middle).toBe("o.".repeat(30));
    expect([rows.low, rows.high, rows.overhead]).toEqual(["no photo", "no photo", "no photo"]);
  });

  test("a gap stands where it is, with its degrees on the sphere", () => {
    // 90 degrees is 9 o'clock, column 15; the gap goes from there to 132 degrees.
    const rows = rowsOf(factsAround(standsAt([...azimuths(15, 0, 91), ...azimuths(12, 132)], 0)));
    expect(rows.low!.slice(15, 24)).toBe("o[ 42 ]o.");
  });

  test("an open side bears the degrees that its finding names, not the angle across it", () => {
    const facts = factsAround(standsAt(azimuths(12, 0, 229), 25));
    const [told] = judgedReport(facts).judgement.findings.filter(({ check }) => check === "open-ring");
    expect(told!.measured!.value).toBeGreaterThan(120);
    expect(rowsOf(facts).middle).toMatch(new RegExp(`\\[ +${Math.round(told!.measured!.value)} +\\]`));
  });

  test("a gap at 6 o'clock runs over the edge of the picture", () => {
    const rows = rowsOf(factsAround(standsAt(azimuths(12, 24, 337), 0)));
    // The first photo is the one azimuth is counted from in real facts; here the gap is placed on purpose.
    expect(rows.low).toMatch(/^\d*\s*\]o\./);
    expect(rows.low).toMatch(/o\[\s*\d*$/);
  });

  test("photos to take again bear a letter, several good ones in one place are counted", () => {
    const stands = [...standsAt(azimuths(12), 0), { file: "twin.jpg", azimuthDeg: 0.1, elevationDeg: 0 }];
    const facts = factsAround(stands);
    const one = judgedReport(facts);
    const photoVerdicts = new Map(one.judgement.photoVerdicts).set("at0_012.jpg", "reshoot");
    const [picture] = coveragePictures({ ...one, judgement: { ...one.judgement, photoVerdicts } }, 60);
    expect(picture!.lines.at(-1)!.text.slice(0, 5)).toBe("2.a.o");
    expect(picture!.names).toEqual([{ label: "again", text: "a at0_012.jpg" }]);
  });

  test("gaps are named with the photos to both sides and how many to take", () => {
    const facts = factsAround(standsAt([...azimuths(15, 0, 91), ...azimuths(12, 132)], 0));
    const [picture] = coveragePictures(judgedReport(facts), 60);
    expect(picture!.names).toEqual([{ label: "add", text: "[42] 2 between at0_090.jpg and at0_132.jpg" }]);
  });

  test("letters that run out leave a cross", () => {
    const facts = factsAround(standsAt(azimuths(6), 0));
    const one = judgedReport(facts);
    const photoVerdicts = new Map(facts.photos.map(({ file }) => [file, "reshoot"] as const));
    const [picture] = coveragePictures({ ...one, judgement: { ...one.judgement, photoVerdicts } }, 60);
    const row = picture!.lines.at(-1)!.text;
    expect(row.startsWith("abcdefghijklmnpqrs")).toBe(true);
    expect(row.endsWith("x")).toBe(true);
  });

  test("a side that no photo shows is drawn where it lies, and only where one is spoken of", () => {
    // From 6 o'clock on over 9 to 12: the other half is never seen.
    const half = factsAround(standsAt(azimuths(12, 0, 181), 25));
    const rows = rowsOf(half);
    expect(rows.not).toMatch(/^ {31}#{29}$/);
    expect(rowsOf(factsAround(standsAt(azimuths(12), 25))).not).toBeUndefined();
  });

  test("nothing is drawn where the places are too uncertain, or on a screen too narrow", () => {
    const facts = (confidence: number) => factsAround(standsAt(azimuths(12), 0), { confidence });
    expect(coveragePictures(judgedReport(facts(0.1)), 60)).toEqual([]);
    expect(coveragePictures(judgedReport(facts(0.9)), 23)).toEqual([]);
    expect(coveragePictures(judgedReport(facts(0.9)), 24)).toHaveLength(1);
  });

  test("never wider than asked, wherever the photos stand", () => {
    const stand = fc.record({
      azimuthDeg: fc.double({ min: 0, max: 359.99, noNaN: true }),
      elevationDeg: fc.double({ min: -20, max: 89, noNaN: true }),
    });
    fc.assert(
      fc.property(
        fc.array(stand, { minLength: 8, maxLength: 40 }),
        fc.integer({ min: 24, max: 104 }),
        (all, width) => {
          const facts = factsAround(all.map((where, i) => ({ file: `${i}.jpg`, ...where })));
          for (const { lines } of coveragePictures(judgedReport(facts), width))
            for (const { text } of lines) expect(displayWidth(text)).toBeLessThanOrEqual(width);
        },
      ),
    );
  });
});
