import { describe, expect, it } from "vitest";
import { judge } from "#goodgate/checks/index.js";
import { regionOf } from "#goodgate/measure/subject/region.js";
import { gatherFacts } from "./measure-set.js";
import { overlapOf } from "./subject-score.js";
import { measureSubjectSet, subjectOptions } from "./subject-sets.js";

describe("a fixed slice of the subject's evaluation", () => {
  it("finds the subject and names what befalls it, and nothing else", { timeout: 300_000 }, async () => {
    const options = subjectOptions(
      {
        seed: 31,
        subject: "jug",
        widthPx: 960,
        heightPx: 720,
        portraitShare: 0,
        window: { azimuthDeg: 200, stops: 3 },
        rings: [{ elevationDeg: 20, photos: 18, startDeg: 0, spanDeg: 360 }],
      },
      [
        { photo: 3, fault: { kind: "cut", areaRatio: 0.08, directionDeg: 0 } },
        { photo: 7, fault: { kind: "small", sideRatio: 0.26 } },
        { photo: 11, fault: { kind: "focus-plane", plane: "background", sigmaPx: 2.5 } },
        { photo: 15, fault: { kind: "focus-plane", plane: "subject", sigmaPx: 2 } },
      ],
    );
    const { photos } = await measureSubjectSet("slice", options, false);
    const { facts, subject } = await gatherFacts("slice", photos);
    const overlaps = subject.views.map(({ region }, i) =>
      overlapOf(regionOf(region).share, photos[i]!.trueShare),
    );
    expect(overlaps.toSorted((a, b) => a - b)[9]).toBeGreaterThan(0.7);
    const told = judge(facts)
      .findings.filter(
        ({ check, severity, about }) => about === "photo" && (severity !== "note" || check === "cut-subject"),
      )
      .map(
        ({ check, photos: [file] }) => `${check}: ${facts.photos.findIndex((photo) => photo.file === file)}`,
      );
    expect(told.toSorted()).toEqual(["cut-subject: 3", "missed-focus: 11", "small-subject: 7"]);
  });
});
