import {
  atHeight,
  goodStep,
  inCaptureOrder,
  inDegrees,
  isOpen,
  isSurelyOpen,
  placedLimits,
  placedParts,
  ringsOf,
  vagueStep,
  widestStep,
} from "./around.js";
import { defineCheck, measure } from "./define.js";

export const wideStep = defineCheck({
  id: "wide-step",
  title: "steps that are wider than they need be",
  serves: "around-subject",
  measures:
    "How far the viewing direction turns from one photo to the next at one height: steps short of a gap, that photos of no other height lead across.",
  why: "Steps of 15 to 25 degrees still match on a rich surface; on a plain or glossy one they may not.",
  advice: "Next time take a photo every 10 to 15 degrees; now add some only where the surface is plain.",
  needs: ["other photos"],
  limits: {
    step: goodStep,
    gap: widestStep,
    vague: vagueStep,
    ...placedLimits,
  },
  rising: ["step", "gap", "vague"],
  judge(facts, limits) {
    const { parts, skipped } = placedParts(facts, limits);
    const rings = parts.flatMap((part) => ringsOf(part, facts.around.wantedSpanDeg));
    const findings = rings.flatMap(({ band, steps }) => {
      const wide = steps.filter(
        (step) =>
          isOpen(step, limits.step.value) &&
          step.angleDeg <= limits.vague.value &&
          !isSurelyOpen(step, limits.gap.value),
      );
      if (wide.length === 0) return [];
      const widest = wide.reduce((a, b) => (b.angleDeg > a.angleDeg ? b : a));
      const [a, b] = inCaptureOrder(facts, widest.fromPhoto, widest.toPhoto);
      const which = wide.length === 1 ? "one step" : `${wide.length} of ${steps.length} steps`;
      return [
        {
          about: "set" as const,
          severity: "note" as const,
          photos: [a, b],
          measured: measure(widest.angleDeg, "degrees"),
          limit: limits.step,
          message: `The ring ${atHeight[band.name]} has ${which} wider than ${inDegrees(limits.step.value)}; the widest, between ${a} and ${b}, is ${inDegrees(widest.angleDeg)}.`,
          advice:
            "Fine where the surface is rich in detail; where it is plain or glossy, take one photo in between.",
        },
      ];
    });
    return { findings, skipped };
  },
});
