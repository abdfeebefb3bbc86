import { median } from "../measure/statistics.js";
import type { AroundPart, AroundStep } from "../types/around.js";
import type { Facts } from "../types/facts.js";
import {
  atHeight,
  clockBetween,
  doubtOf,
  goodStep,
  holesOf,
  howToHold,
  inCaptureOrder,
  inDegrees,
  isOpen,
  morePhotos,
  openSide,
  type PlacedLimits,
  photosIn,
  placedLimits,
  placedParts,
  type Ring,
  ringsOf,
  vagueStep,
  widestStep,
} from "./around.js";
import { type Draft, defineCheck, type LimitTable, limit, measure } from "./define.js";

export const gap = defineCheck({
  id: "gap",
  title: "gaps in the way round",
  serves: "around-subject",
  measures:
    "How far the viewing direction turns from one photo to the next at one height, solved from what the photos share; a way across that photos of another height look at within a step is none. A gap is told where its width less twice its standard error is too wide, even if photos that could not be placed, and may stand in it, stood there in even steps.",
  why: "Beyond 25 to 30 degrees the same spot no longer looks the same to any matching method, so the model tears or dents there.",
  advice: "Stand between the two places and fill the gap in even steps, at the same height.",
  needs: ["other photos"],
  limits: {
    step: widestStep,
    open: openSide,
    vague: vagueStep,
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
    const open = parts.flatMap((part) =>
      ringsOf(part, facts.around.wantedSpanDeg).flatMap((ring) => {
        const holes = holesOf(ring, limits);
        return ring.steps
          .filter((step) => isOpen(step, limits.step.value) && step.angleDeg <= limits.open.value)
          .map((step) => ({
            step,
            ring,
            part,
            doubt: doubtOfGap(step, ring, part, facts, limits),
            sure: holes.includes(step),
          }));
      }),
    );
    return {
      findings: open
        .filter(({ sure, doubt }) => sure && doubt === undefined)
        .map(({ step, ring, part }) => describe(step, ring, part, facts, limits)),
      skipped: [
        ...skipped,
        ...open.flatMap(({ step, doubt }) =>
          doubt === undefined || step.angleDeg <= limits.vague.value
            ? []
            : [{ photos: inCaptureOrder(facts, step.fromPhoto, step.toPhoto), reason: doubt }],
        ),
      ],
    };
  },
});

type Own = PlacedLimits & LimitTable<"step" | "good" | "shared">;

function describe(
  step: AroundStep,
  { band: { name } }: Ring,
  part: AroundPart,
  facts: Facts,
  limits: Own,
): Draft {
  const { fromPhoto, toPhoto, widthDeg, angleDeg } = step;
  const [a, b] = inCaptureOrder(facts, fromPhoto, toPhoto);
  const photos = photosIn(step, limits.good.value);
  return {
    about: "between",
    severity: "reshoot",
    photos: [a, b],
    measured: measure(angleDeg, "degrees"),
    limit: limits.step,
    message: `Between ${a} and ${b} is a gap of ${inDegrees(angleDeg)} ${atHeight[name]}, at ${clockBetween(part, fromPhoto, widthDeg)}.`,
    advice: `Stand between these two places and take ${morePhotos(photos)} in even steps: ${howToHold[name]}.`,
    toAdd: photos,
  };
}

/** Why nobody knows whether a step is a gap; undefined where that is known. */
function doubtOfGap(
  step: AroundStep,
  ring: Ring,
  part: AroundPart,
  facts: Facts,
  limits: Own,
): string | undefined {
  const doubt = doubtOf(step, part, facts, limits.step.value);
  if (doubt !== undefined) return doubt;
  const { fromPhoto, toPhoto, angleDeg } = step;
  // What the two share was measured apart from all angles: where it is as much as elsewhere, the angle is in doubt.
  const sharedBy = (one: string, other: string): number =>
    facts.pairs.find(({ a, b }) => (a === one && b === other) || (a === other && b === one))?.supportRatio ??
    0;
  const usual = median(ring.steps.map((own) => sharedBy(own.fromPhoto, own.toPhoto)));
  return usual > 0 && sharedBy(fromPhoto, toPhoto) >= limits.shared.value * usual
    ? `whether photos are missing between them is not known: they seem ${inDegrees(angleDeg)} apart, but show as much of the same surface as the photos beside them do`
    : undefined;
}
