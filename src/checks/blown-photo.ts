import { defineCheck, limit, measure } from "./define.js";

export const blownPhoto = defineCheck({
  id: "blown-photo",
  title: "subject burnt out",
  measures: "Share of pixels in the middle of the frame that have a channel at the top of its range.",
  why: "What is burnt out holds no texture, and no editor brings it back.",
  advice: "Tap on the subject to set exposure, lock it, and take the photo again a little darker.",
  limits: { centre: limit(0.25, "ratio", "SPREAD:blown") },
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
                message: `${file} is burnt out: ${Math.round(100 * clippedCentreRatio.value)} % of the middle of the frame is at the top of its range.`,
                advice: "Take it again a little darker: set exposure on the subject and lock it.",
              },
            ],
      ),
      skipped: [],
    };
  },
});
