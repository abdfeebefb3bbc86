import { defineCheck, limit, measure, percentBeyond } from "./define.js";

export const blownPhoto = defineCheck({
  id: "blown-photo",
  title: "subject burnt out",
  measures:
    "Share of pixels in the middle of the frame that have two channels or three at the top of their range.",
  why: "What is burnt out holds no texture, and no editor brings it back.",
  advice: "Tap on the subject to set exposure, lock it, and take the photo again a little darker.",
  limits: {
    centre: limit(
      0.4,
      "ratio",
      "over good photos (0.02 at the most) and most steps up to 1.3 stops, under blown ones (0.47 at the least): docs/evaluation.md",
    ),
  },
  judge(facts, limits) {
    return {
      findings: facts.photos.flatMap(({ file, measures: { clippedCentreRatio } }) =>
        clippedCentreRatio.value <= limits.centre.value
          ? []
          : [
              {
                about: "photo" as const,
                severity: "reshoot" as const,
                photos: [file],
                measured: measure(clippedCentreRatio.value, "ratio"),
                limit: limits.centre,
                message: `${file} is burnt out: ${percentBeyond(clippedCentreRatio.value, limits.centre.value)} of the middle of the frame is at the top of its range.`,
                advice: "Take it again a little darker: set exposure on the subject and lock it.",
              },
            ],
      ),
      skipped: [],
    };
  },
});
