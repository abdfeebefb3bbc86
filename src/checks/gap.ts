import { median } from "../measure/statistics.js";
import type { AroundPart } from "../types/around.js";
import type { Facts } from "../types/facts.js";
import {
  atHeight,
  clockBetween,
  goodStep,
  holesOf,
  howToHold,
  inCaptureOrder,
  inDegrees,
  morePhotos,
  openSide,
  type PlacedLimits,
  photosIn,
  placedLimits,
  placedParts,
  type Ring,
  ringsOf,
  type SureStep,
  widestStep,
} from "./around.js";
import { type Draft, defineCheck, type LimitTable, limit, measure } from "./define.js";

export const gap = defineCheck({
  id: "gap",
  title: "gaps in the way round",
  serves: "around-subject",
  measures:
    "How far the viewing direction turns from one photo to the next at one height, solved from what the photos share.",
  why: "Beyond 25 to 30 degrees the same spot no longer looks the same to any matching method, so the model tears or dents there.",
  advice: "Stand between the two places and fill the gap in even steps, at the same height.",
  needs: ["other photos"],
  limits: {
    step: widestStep,
    open: openSide,
    good: goodStep,
    shared: limit(
      0.85,
      "times",
      "steps of twice the ring's own leave 0.6 of what its photos share (0.44 against 0.75: docs/evaluation.md), its own steps 0.8 and more; our choice",
    ),
    hole: limit(
      1.6,
      "times",
      "a step over the ring's own, where that is too wide throughout: a photo left out doubles it, an uneven walk does not; our choice between",
      // A hole is no smaller than the steps around it.
      [1, 100],
    ),
    ...placedLimits,
  },
  rising: ["good", "step", "open"],
  judge(facts, limits) {
    const { parts, skipped } = placedParts(facts, limits);
    const findings = parts.flatMap((part) =>
      ringsOf(part, facts.around.wantedSpanDeg).flatMap((ring) =>
        holesOf(ring, limits)
          .filter(({ widthDeg }) => widthDeg <= limits.open.value)
          .map((step) => describe(step, doubtOf(step, ring, facts, limits), ring, part, facts, limits)),
      ),
    );
    return { findings, skipped };
  },
});

type Own = PlacedLimits & LimitTable<"step" | "good" | "shared">;

function describe(
  step: SureStep,
  doubt: string | undefined,
  { band: { name } }: Ring,
  part: AroundPart,
  facts: Facts,
  limits: Own,
): Draft {
  const { fromPhoto, toPhoto, widthDeg, angleDeg } = step;
  const [a, b] = inCaptureOrder(facts, fromPhoto, toPhoto);
  const photos = photosIn(step, limits.good.value);
  const what = `a gap of ${inDegrees(angleDeg)} ${atHeight[name]}, at ${clockBetween(part, fromPhoto, widthDeg)}`;
  const told = {
    about: "between" as const,
    photos: [a, b],
    measured: measure(angleDeg, "degrees"),
    limit: limits.step,
    advice: `Stand between these two places and take ${morePhotos(photos)} in even steps: ${howToHold[name]}.`,
  };
  return doubt === undefined
    ? { ...told, severity: "reshoot", message: `Between ${a} and ${b} is ${what}.`, toAdd: photos }
    : { ...told, severity: "note", message: `Between ${a} and ${b} there may be ${what}, but ${doubt}.` };
}

/** Why a gap is not told for sure; undefined where it is. */
function doubtOf(step: SureStep, ring: Ring, { pairs }: Facts, limits: Own): string | undefined {
  const { fromPhoto, toPhoto, angleDeg, uncertaintyDeg } = step;
  if (angleDeg - uncertaintyDeg <= limits.step.value)
    return `the photos tell it only to ${inDegrees(uncertaintyDeg)}`;
  // What the two share was measured apart from all angles: where it is as much as elsewhere, the angle is in doubt.
  const sharedBy = (one: string, other: string): number =>
    pairs.find(({ a, b }) => (a === one && b === other) || (a === other && b === one))?.supportRatio ?? 0;
  const usual = median(ring.steps.map((own) => sharedBy(own.fromPhoto, own.toPhoto)));
  return usual > 0 && sharedBy(fromPhoto, toPhoto) >= limits.shared.value * usual
    ? "they show as much of the same surface as the photos beside them do"
    : undefined;
}
