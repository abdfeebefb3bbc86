import { againstNeighbours } from "../measure/set/photos-around.js";
import { defineCheck, limit, measure, percentBeyond } from "./define.js";
import { knownSubject, subjectLimits } from "./subject.js";

export const blownPhoto = defineCheck({
  id: "blown-photo",
  title: "subject burnt out",
  serves: "clean-tones",
  measures:
    "Share of the subject's pixels that are clipped with no channel left that holds detail: all within a stop of the top of their range; of the middle of the frame where it is not known which pixels are the subject's, or where the photo is far brighter than those around it.",
  why: "What is burnt out holds no texture, and no editor brings it back.",
  advice: "Tap on the subject to set exposure, lock it, and take the photo again a little darker.",
  inMost: {
    message: (count, of) => `The photos are too bright: ${count} of ${of} are burnt out.`,
    advice:
      "Take the set again darker: set the exposure on the subject, a stop less than the camera chooses, and lock it.",
  },
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
    brighter: limit(
      1.5,
      "stops",
      "between steps that an editor puts right (1.24 at the most) and what burns the subject out (1.73 at the least): docs/evaluation.md",
    ),
    ...subjectLimits,
  },
  judge(facts, limits) {
    const steps = againstNeighbours(facts, "exposureOffsetStops");
    return {
      findings: facts.photos.flatMap((photo, i) => {
        // Too much light on all of it: then a window behind the subject is no excuse for the middle of the frame.
        const overexposed = (steps[i] ?? 0) >= limits.brighter.value;
        const onSubject = knownSubject(photo, limits)?.clippedRatio;
        const middle = photo.measures.clippedCentreRatio;
        const bySubject = onSubject !== undefined && (!overexposed || onSubject.value >= middle.value);
        const { value } = bySubject ? onSubject : middle;
        const bound = bySubject ? limits.subject : limits.centre;
        if (value <= bound.value) return [];
        const what = bySubject ? "of the subject" : "of the middle of the frame";
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
