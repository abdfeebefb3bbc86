import { defineCheck, limit, measure, percentBeyond } from "./define.js";
import { knownSubject, subjectLimits } from "./subject.js";

export const blockedPhoto = defineCheck({
  id: "blocked-photo",
  title: "photos that drown in black",
  serves: "clean-tones",
  measures:
    "Share of the subject's pixels with all channels at the bottom of their range; of the whole frame where it is not known which pixels are the subject's.",
  why: "Where all is black there is no texture to lift in an editor.",
  advice: "Take it again with more light, or a longer exposure from a stand.",
  inMost: {
    message: (count, of) => `The photos are too dark: ${count} of ${of} drown in black.`,
    advice: "Take the set again with more light, or with longer exposures from a stand.",
  },
  limits: {
    whole: limit(
      0.6,
      "ratio",
      "more than half of the frame empty, and good photos stay under 0.05: docs/evaluation.md; our choice",
    ),
    darkest: limit(
      -6,
      "stops",
      "3.5 stops under mid grey (.18 of white is -2.5 stops): a small lit subject before black cloth stays above; our choice",
      // 0 is a white picture; under -20 lies nothing that a camera stores.
      [-20, 0],
    ),
    night: limit(
      -7.5,
      "stops",
      "5 stops under mid grey: what is not black lies within the lowest 15 of 255 codes, where an editor that lifts it finds steps instead of texture; all photos of four real captures have -3.7 at the least: docs/evaluation-gate.md",
      [-20, 0],
    ),
    ...subjectLimits,
  },
  judge(facts, limits) {
    return {
      findings: facts.photos.flatMap((photo) => {
        const subject = knownSubject(photo, limits);
        const { blockedRatio, meanLuminanceStops } =
          subject?.blockedRatio && subject.meanLuminanceStops
            ? { blockedRatio: subject.blockedRatio, meanLuminanceStops: subject.meanLuminanceStops }
            : photo.measures;
        const night = meanLuminanceStops.value < limits.night.value;
        const black =
          blockedRatio.value > limits.whole.value && meanLuminanceStops.value < limits.darkest.value;
        if (!night && !black) return [];
        return [
          {
            about: "photo" as const,
            severity: "reshoot" as const,
            photos: [photo.file],
            ...(black
              ? { measured: measure(blockedRatio.value, "ratio"), limit: limits.whole }
              : { measured: meanLuminanceStops, limit: limits.night }),
            message: black
              ? `${photo.file} drowns in black: ${percentBeyond(blockedRatio.value, limits.whole.value)} of ${subject?.blockedRatio ? "the subject" : "it"} holds nothing.`
              : `${photo.file} drowns in black: ${subject?.blockedRatio ? "the subject" : "it"} is ${Math.round(-2.5 - meanLuminanceStops.value)} stops darker than mid grey.`,
            advice: "Take it again with more light on this side, or a longer exposure from a stand.",
          },
        ];
      }),
      skipped: [],
    };
  },
});
