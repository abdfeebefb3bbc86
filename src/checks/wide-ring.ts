import {
  atHeight,
  goodStep,
  inDegrees,
  isOpen,
  morePhotos,
  photosIn,
  placedLimits,
  placedParts,
  ringsOf,
  walkedTooWide,
  widestStep,
} from "./around.js";
import { defineCheck, measure } from "./define.js";

export const wideRing = defineCheck({
  id: "wide-ring",
  title: "rings with steps that are too wide throughout",
  serves: "around-subject",
  measures:
    "How many of the steps of a ring are too wide: where most are, the ring is told of once, not step by step.",
  why: "Where every step is too wide, each photo shows mostly what no other one shows as it does, and little can be matched.",
  advice: "Walk the ring once more with smaller steps, between the places you stood at.",
  needs: ["other photos"],
  limits: {
    step: widestStep,
    good: goodStep,
    ...placedLimits,
  },
  rising: ["good", "step"],
  judge(facts, limits) {
    const { parts, skipped } = placedParts(facts, limits);
    const findings = parts.flatMap((part) => {
      const rings = ringsOf(part, facts.around.wantedSpanDeg);
      const wide = rings.filter((ring) => walkedTooWide(ring, limits.step.value));
      // A sparse ring beside a good one adds views; alone it is all there is.
      const failing = wide.length === rings.length;
      return wide.map(({ band: { name, photos }, steps, stepDeg }) => {
        const more = steps
          .filter((step) => isOpen(step, limits.step.value))
          .reduce((sum, step) => sum + photosIn(step, limits.good.value), 0);
        return {
          about: "set" as const,
          severity: failing ? ("reshoot" as const) : ("note" as const),
          photos,
          measured: measure(stepDeg, "degrees"),
          limit: limits.step,
          message: `The ${photos.length} photos ${atHeight[name]} stand too far apart all the way round: ${inDegrees(stepDeg)} from one to the next.`,
          advice: `Walk this ring once more and take ${morePhotos(more)}, each between two of these places.`,
          ...(failing ? { toAdd: more } : {}),
        };
      });
    });
    return { findings, skipped };
  },
});
