import {
  atHeight,
  clockBetween,
  holesOf,
  howToHold,
  inCaptureOrder,
  inDegrees,
  morePhotos,
  photosIn,
  placedLimits,
  placedParts,
  ringsOf,
} from "./around.js";
import { defineCheck, limit, measure } from "./define.js";

export const gap = defineCheck({
  id: "gap",
  title: "gaps in the way round",
  measures:
    "How far the viewing direction turns from one photo to the next at one height, solved from what the photos share.",
  why: "Beyond 25 to 30 degrees the same spot no longer looks the same to any matching method, so the model tears or dents there.",
  advice: "Stand between the two places and fill the gap in even steps, at the same height.",
  limits: {
    step: limit(
      25,
      "degrees",
      "no detector and descriptor good beyond 25 to 30 degrees: Moreels & Perona 2007, Evaluation of features detectors and descriptors based on 3D objects (IJCV 73)",
    ),
    open: limit(
      90,
      "degrees",
      "a quarter of the way round is no gap but an open ring (open-ring); our choice",
    ),
    good: limit(
      15,
      "degrees",
      "steps of 10 to 15 degrees: Swedish National Heritage Board, 3D-model guide (10); common practice (15)",
    ),
    ...placedLimits,
  },
  judge(facts, limits) {
    const { parts, skipped } = placedParts(facts, limits);
    const findings = parts.flatMap((part) =>
      ringsOf(part, facts.around.wantedSpanDeg).flatMap((ring) =>
        holesOf(ring, limits.step.value)
          .filter(({ widthDeg }) => widthDeg <= limits.open.value)
          .map((step) => {
            const { fromPhoto, toPhoto, widthDeg, angleDeg, uncertaintyDeg } = step;
            const [a, b] = inCaptureOrder(facts, fromPhoto, toPhoto);
            const { name } = ring.band;
            const sure = angleDeg - uncertaintyDeg > limits.step.value;
            const photos = photosIn(step, limits.good.value);
            const where = `${atHeight[name]}, at ${clockBetween(part, fromPhoto, widthDeg)}`;
            return {
              about: "between" as const,
              severity: sure ? ("reshoot" as const) : ("note" as const),
              photos: [a, b],
              measured: measure(angleDeg, "degrees"),
              limit: limits.step,
              message: sure
                ? `Between ${a} and ${b} is a gap of ${inDegrees(angleDeg)} ${where}.`
                : `Between ${a} and ${b} there may be a gap of ${inDegrees(angleDeg)} ${where}; the photos tell it only to ${inDegrees(uncertaintyDeg)}.`,
              advice: `Stand between these two places and take ${morePhotos(photos)} in even steps: ${howToHold[name]}.`,
              ...(sure ? { toAdd: photos } : {}),
            };
          }),
      ),
    );
    return { findings, skipped };
  },
});
