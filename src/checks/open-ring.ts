import type { AroundPart } from "../types/around.js";
import type { Facts } from "../types/facts.js";
import {
  atHeight,
  clockBetween,
  goodStep,
  howToHold,
  inCaptureOrder,
  inDegrees,
  isSplit,
  isSurelyOpen,
  mayBeFilled,
  morePhotos,
  openSide,
  type PlacedLimits,
  perhapsInside,
  photosIn,
  placedLimits,
  placedParts,
  ringsOf,
  WAY_ROUND,
} from "./around.js";
import { type Draft, defineCheck, type LimitTable, limit, measure } from "./define.js";

export const openRing = defineCheck({
  id: "open-ring",
  title: "rings that do not close",
  serves: "around-subject",
  measures:
    "How much of the way round the photos of one height leave out in one piece; with --span, how much of the wanted way they lack.",
  why: "What no photo faces is missing from the model, and errors pile up where a ring does not come back to its first photo.",
  advice: "Walk on round the subject until the last photo shows again what the first one showed.",
  needs: ["other photos"],
  limits: {
    open: openSide,
    lacking: limit(
      25,
      "degrees",
      "the widest step that still matches, 25 to 30 degrees: Moreels & Perona 2007 (IJCV 73)",
      WAY_ROUND,
    ),
    good: goodStep,
    ...placedLimits,
  },
  judge(facts, limits) {
    const { parts, skipped } = placedParts(facts, limits);
    // Another part may stand in the open side, and nobody knows where: separate-parts speaks then.
    if (isSplit(facts)) return { findings: [], skipped };
    const findings = parts.flatMap((part) => [
      ...openSides(facts, part, limits),
      ...(facts.around.wantedSpanDeg < 360 ? lackingSpan(facts, part, limits) : []),
    ]);
    return { findings, skipped };
  },
});

type Own = PlacedLimits & LimitTable<"open" | "lacking" | "good">;

/** Of the wanted way round: the side that is not wanted is no step of it. */
function openSides(facts: Facts, part: AroundPart, limits: Own): Draft[] {
  const { wantedSpanDeg } = facts.around;
  const widestDeg = limits.lacking.value;
  const fault = wantedSpanDeg < 360 ? "has a hole" : "does not close";
  return ringsOf(part, wantedSpanDeg).flatMap(({ band: { name }, steps }) =>
    steps
      .filter((step) => step.angleDeg > limits.open.value && isSurelyOpen(step, widestDeg))
      .filter((step) => !mayBeFilled(step, perhapsInside(step, part, facts, widestDeg).length, widestDeg))
      .map((step) => {
        const { fromPhoto, toPhoto, widthDeg } = step;
        const photos = photosIn(step, limits.good.value);
        return {
          about: "between",
          severity: "reshoot",
          photos: inCaptureOrder(facts, fromPhoto, toPhoto),
          measured: measure(widthDeg, "degrees"),
          limit: limits.open,
          message: `The ring ${atHeight[name]} ${fault}: ${inDegrees(widthDeg)} of it are missing, clockwise from ${fromPhoto} to ${toPhoto}, at ${clockBetween(part, fromPhoto, widthDeg)}.`,
          advice: `Walk on from ${fromPhoto} to ${toPhoto} and take ${morePhotos(photos)} in even steps: ${howToHold[name]}.`,
          toAdd: photos,
        };
      }),
  );
}

/** Where only part of the way round is wanted, one ring that goes as far is enough. */
function lackingSpan(facts: Facts, part: AroundPart, limits: Own): Draft[] {
  const { wantedSpanDeg } = facts.around;
  const spans = ringsOf(part, wantedSpanDeg).map(({ band: { spanDeg } }) => spanDeg);
  const spanDeg = Math.max(0, ...spans);
  const lackingDeg = wantedSpanDeg - spanDeg;
  if (spans.length === 0 || lackingDeg <= limits.lacking.value) return [];
  const photos = Math.ceil(lackingDeg / limits.good.value);
  return [
    {
      about: "set",
      severity: "reshoot",
      photos: [],
      measured: measure(lackingDeg, "degrees"),
      limit: limits.lacking,
      message: `The photos go ${inDegrees(spanDeg)} round the subject, of the ${inDegrees(wantedSpanDeg)} that are wanted.`,
      advice: `Go on from either end of the walk and take ${morePhotos(photos)} in even steps.`,
      toAdd: photos,
    },
  ];
}
