import { placedLimits, placedParts } from "./around.js";
import { defineCheck, measure } from "./define.js";

export const laidOver = defineCheck({
  id: "laid-over",
  serves: "around-subject",
  title: "a second round of the subject laid down or turned over",
  measures:
    "Whether some photos were all held upright about another axis than the rest, and look from where nobody could stand were the subject not laid over.",
  why: "Laying the subject over shows its underside: good practice, as long as nothing but the subject is matched.",
  advice: "Nothing to do: the directions of both rounds are counted on the subject itself.",
  needs: ["other photos"],
  limits: { ...placedLimits },
  judge(facts, limits) {
    const { parts, skipped } = placedParts(facts, limits);
    return {
      findings: parts.flatMap(({ laidOver: round }) =>
        round === undefined
          ? []
          : [
              {
                about: "set" as const,
                severity: "note" as const,
                photos: round.photos,
                measured: measure(round.tiltDeg, "degrees"),
                message: `These photos are a second round: the subject was ${round.tiltDeg > TURNED_OVER_DEG ? "turned over" : "laid down"}.`,
                advice:
                  "Nothing to do: directions and heights are counted on the subject itself, and its underside asks for no more photos.",
              },
            ],
      ),
      skipped,
    };
  },
});

/** Between a quarter turn and a half. */
const TURNED_OVER_DEG = 135;
