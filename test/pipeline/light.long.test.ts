import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { audit } from "#goodgate/pipeline/audit.js";
import type { Report } from "#goodgate/types/report.js";
import { Bench } from "../spawn/folders.js";
import { renderedSet } from "../support/rendered.js";

/** Photos of the ring, the first from azimuth 0, and where one lamp at (-1.5, 0.6) leaves the far side dark. */
const PHOTOS = 24;
const DARK_DEG = (Math.atan2(1.5, -0.6) * 180) / Math.PI;

let bench: Bench;
let report: Report;

beforeAll(async () => {
  bench = await Bench.make();
  const photos = await renderedSet({
    subject: "toad",
    lamps: "one",
    rings: [{ elevationDeg: 25, photos: PHOTOS, startDeg: 0, spanDeg: 360 }],
  });
  report = await audit(await bench.folder(photos), { jobs: 2 });
}, 300_000);

afterAll(() => bench?.remove());

describe("a ring under one lamp", () => {
  test("fails for its light from one side, and names photos of the dark side only", () => {
    const found = report.judgement.findings.find(({ check }) => check === "light-side")!;
    expect(found.severity).toBe("reshoot");
    expect(found.photos.length).toBeGreaterThan(PHOTOS / 6);
    const order = report.facts.photos.map(({ file }) => file);
    for (const file of found.photos) {
      const azimuthDeg = (order.indexOf(file) * 360) / PHOTOS;
      // Within 60 degrees of a dark side that is found to 30.
      expect(Math.abs(azimuthDeg - DARK_DEG), file).toBeLessThan(90);
    }
  });

  test("is neither shiny nor under a light that changed, and no shadow moves", () => {
    const others = ["shiny-subject", "light-change", "moving-shadow"];
    expect(report.judgement.findings.filter(({ check }) => others.includes(check))).toEqual([]);
    expect(Math.abs(report.facts.light!.step!.stops)).toBeLessThan(0.1);
  });

  test("has its light measured in every photo, on most of the subject", () => {
    for (const { file, subjectStops, followedRatio } of report.facts.light!.photos) {
      expect(subjectStops, file).toBeDefined();
      expect(followedRatio, file).toBeGreaterThan(0.5);
    }
  });
});
