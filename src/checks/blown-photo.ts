import { defineCheck, limit, measure, percentBeyond } from "./define.js";
import { knownSubject } from "./subject.js";

export const blownPhoto = defineCheck({
  id: "blown-photo",
  title: "subject burnt out",
  measures:
    "Share of the subject's pixels that have two channels or three at the top of their range; of the middle of the frame where it is not known which pixels are the subject's.",
  why: "What is burnt out holds no texture, and no editor brings it back.",
  advice: "Tap on the subject to set exposure, lock it, and take the photo again a little darker.",
  limits: {
    subject: limit(
      0.4,
      "ratio",
      "as for the middle of the frame, where the subject fills most of it: good photos have 0.14 at the most: docs/evaluation-subject.md",
    ),
    centre: limit(
      0.4,
      "ratio",
      "over good photos (0.02 at the most) and most steps up to 1.3 stops, under blown ones (0.47 at the least): docs/evaluation.md",
    ),
  },
  judge(facts, limits) {
    return {
      findings: facts.photos.flatMap((photo) => {
        const onSubject = knownSubject(photo)?.clippedRatio;
        const { value } = onSubject ?? photo.measures.clippedCentreRatio;
        const bound = onSubject === undefined ? limits.centre : limits.subject;
        if (value <= bound.value) return [];
        const what = onSubject === undefined ? "of the middle of the frame" : "of the subject";
        return [
          {
            about: "photo" as const,
            severity: "reshoot" as const,
            photos: [photo.file],
            measured: measure(value, "ratio"),
            limit: bound,
            message: `${photo.file} is burnt out: ${percentBeyond(value, bound.value)} ${what} is so bright that no detail is left.`,
            advice: "Take it again a little darker: set exposure on the subject and lock it.",
          },
        ];
      }),
      skipped: [],
    };
  },
});
