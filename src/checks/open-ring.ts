import type { AroundPart, AroundStep, BandName } from "../types/around.js";
import type { Facts } from "../types/facts.js";
import {
  atHeight,
  clockBetween,
  doubtOf,
  goodStep,
  howToHold,
  inCaptureOrder,
  inDegrees,
  isOpen,
  isSplit,
  morePhotos,
  openSide,
  type PlacedLimits,
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
    const sides = parts.flatMap((part) => openSides(facts, part, limits));
    const known = sides.filter(({ doubt }) => doubt === undefined);
    const findings = [
      ...known.map((side) => describe(side, facts, limits)),
      ...(facts.around.wantedSpanDeg < 360 ? parts.flatMap((part) => lackingSpan(facts, part, limits)) : []),
    ];
    const notKnown = sides.flatMap(({ step, doubt }) =>
      doubt === undefined
        ? []
        : [{ photos: inCaptureOrder(facts, step.fromPhoto, step.toPhoto), reason: doubt }],
    );
    return { findings, skipped: [...skipped, ...notKnown] };
  },
});

type Own = PlacedLimits & LimitTable<"open" | "lacking" | "good">;

interface OpenSide {
  readonly step: AroundStep;
  readonly name: BandName;
  readonly part: AroundPart;
  /** Why nobody knows whether it is open; undefined where that is known. */
  readonly doubt: string | undefined;
}

/** Of the wanted way round: the side that is not wanted is no step of it. */
function openSides(facts: Facts, part: AroundPart, limits: Own): OpenSide[] {
  const widestDeg = limits.lacking.value;
  return ringsOf(part, facts.around.wantedSpanDeg).flatMap(({ band: { name }, steps }) =>
    steps
      .filter((step) => step.angleDeg > limits.open.value && isOpen(step, widestDeg))
      .map((step) => ({ step, name, part, doubt: doubtOf(step, part, facts, widestDeg) })),
  );
}

function describe({ step, name, part }: OpenSide, facts: Facts, limits: Own): Draft {
  const { fromPhoto, toPhoto, widthDeg } = step;
  const photos = photosIn(step, limits.good.value);
  const fault = facts.around.wantedSpanDeg < 360 ? "has a hole" : "does not close";
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
