import { FEWEST_FOR_SET } from "../measure/set/photos-around.js";
import { median } from "../measure/statistics.js";
import type { Limit } from "../types/units.js";
import { type Draft, defineCheck, limit, measure, valued } from "./define.js";
import { framedSubjects, subjectLimits } from "./subject.js";

export const smallSubject = defineCheck({
  id: "small-subject",
  title: "the subject small in the frame",
  serves: "subject-in-frame",
  measures: "Longest side of the upright box around the subject over the frame's short side.",
  why: "Pixels spent on the room are lost to the subject: its texture comes out coarser than in the other photos.",
  advice: "Step closer: let the subject fill half of the frame and more.",
  needs: ["other photos"],
  limits: {
    side: limit(
      0.33,
      "ratio",
      "a tenth over the 0.3 that is too small, since the box is measured by cells: subjects of under 0.3 measure 0.30 at the most, good photos 0.37 and more: docs/evaluation-subject.md",
    ),
    tiny: limit(
      0.2,
      "ratio",
      "as the set's middle value: a third of the linear size, a tenth of the pixels, of what fills two thirds of the frame, as the subjects of four real captures do (0.71 at the least); our choice",
    ),
    shareOnPurpose: limit(
      0.5,
      "ratio",
      "where it is small in most photos, the set is spoken of as a whole; our choice",
    ),
    ...subjectLimits,
  },
  rising: ["tiny", "side"],
  judge(facts, limits) {
    const sides = framedSubjects(facts, limits).map((subject) => subject?.sideRatio.value);
    const { known, skipped } = valued(facts.photos, sides, "not known which pixels are the subject's");
    const small = known.filter(({ value }) => value < limits.side.value);
    const middle = known.length < FEWEST_FOR_SET ? undefined : median(known.map(({ value }) => value));
    if (middle !== undefined && middle < limits.tiny.value)
      return { findings: [tinyThroughout(middle, limits.tiny)], skipped };
    if (small.length > limits.shareOnPurpose.value * known.length) {
      return {
        findings: [
          {
            about: "set" as const,
            severity: "note" as const,
            photos: small.map(({ file }) => file),
            measured: measure(small.length / known.length, "ratio"),
            limit: limits.shareOnPurpose,
            message: "The subject is small in most photos: most of their pixels show the room.",
            advice:
              "Walk a closer round as well: the model gets finer by as much as the subject gets larger.",
          },
        ],
        skipped,
      };
    }
    return {
      findings: small.map(({ file, value }) => ({
        about: "photo" as const,
        severity: "reshoot" as const,
        photos: [file],
        measured: measure(value, "ratio"),
        limit: limits.side,
        message: `${file} shows the subject small: its longest side is ${Math.round(100 * value)} % of the frame's short side.`,
        advice: "Take it again from closer, so that the subject fills half of the frame and more.",
      })),
      skipped,
    };
  },
});

function tinyThroughout(middle: number, bound: Limit): Draft {
  return {
    about: "set",
    severity: "reshoot",
    whatItIs: "alone",
    anew: true,
    photos: [],
    measured: measure(middle, "ratio"),
    limit: bound,
    message: `The subject is far too small in the photos: its longest side is ${Math.round(100 * middle)} % of the frame's short side.`,
    advice: "Take the set again from closer, so that the subject fills half of the frame and more.",
  };
}
