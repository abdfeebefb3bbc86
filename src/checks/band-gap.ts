import {
  atHeight,
  inCaptureOrder,
  inDegrees,
  placedLimits,
  placedParts,
  ringsOf,
  widestStep,
} from "./around.js";
import { defineCheck, limit, measure } from "./define.js";

export const bandGap = defineCheck({
  id: "band-gap",
  title: "rings that stand too far above one another",
  serves: "around-subject",
  measures: "The angle between the nearest two photos of two heights that follow one another.",
  why: "Rings are joined by photos that show the same surface from both heights; too far apart, they hang together by chance.",
  advice: "Take three photos, spread round the subject, at a height between the two rings.",
  needs: ["other photos"],
  limits: {
    join: widestStep,
    fail: limit(
      30,
      "degrees",
      "the upper end of that range: rings need joining in some places, not at every step, so only beyond it does the set fail",
    ),
    ...placedLimits,
  },
  rising: ["join", "fail"],
  judge(facts, limits) {
    const { parts, skipped } = placedParts(facts, limits);
    const gaps = parts.flatMap((part) => {
      const rings = new Set(ringsOf(part, facts.around.wantedSpanDeg).map(({ band }) => band.name));
      const uncertainty = new Map(part.cameras.map(({ file, uncertaintyDeg }) => [file, uncertaintyDeg]));
      return (
        part.bandGaps
          // A few photos at another height are no ring that has to be joined.
          .filter(({ lower, upper }) => rings.has(lower) && rings.has(upper))
          .map((one) => ({
            ...one,
            doubtDeg:
              2 * Math.hypot(...[one.fromPhoto, one.toPhoto].map((file) => uncertainty.get(file) ?? 0)),
          }))
          .filter(({ angleDeg, doubtDeg }) => angleDeg - doubtDeg > limits.join.value)
      );
    });
    return {
      findings: gaps.map(({ lower, upper, fromPhoto, toPhoto, angleDeg, doubtDeg }) => {
        const failing = angleDeg - doubtDeg > limits.fail.value;
        const [a, b] = inCaptureOrder(facts, fromPhoto, toPhoto);
        return {
          about: "between" as const,
          severity: failing ? ("reshoot" as const) : ("note" as const),
          photos: [a, b],
          measured: measure(angleDeg, "degrees"),
          limit: failing ? limits.fail : limits.join,
          message: `The photos taken ${atHeight[upper]} stand ${inDegrees(angleDeg)} or more above those taken ${atHeight[lower]}: ${a} and ${b} are the nearest.`,
          advice:
            "Take three photos at a height between the two, spread round the subject, each where a photo of both rings was taken.",
          ...(failing ? { toAdd: 3 } : {}),
        };
      }),
      skipped,
    };
  },
});
