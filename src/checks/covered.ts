import { stepBetween } from "../measure/coverage/coverage.js";
import { angleBetweenDirections } from "../measure/coverage/directions.js";
import type { AroundCamera, AroundPart } from "../types/around.js";
import type { Facts } from "../types/facts.js";
import { isOpen, placedLimits, widestStep } from "./around.js";
import { type LimitTable, limit } from "./define.js";

/**
 * Not a check of its own but the rule that settles what all checks about photos find: take it again, or leave it out.
 * It is explained and its limits can be replaced like those of the checks.
 */
export const leaveOut = {
  id: "leave-out",
  title: "faulty photos whose view good ones cover",
  serves: "whole-folder",
  measures:
    "Whether good photos look from the same direction (a retake), or stand on both sides at the same height with no gap between them, or one that photos of another height lead across. Where nobody knows where the camera stood: whether a good photo was taken from the same place, or the good photo after a faulty one finds again most of what the good one before it shows.",
  why: "A faulty photo between two good ones that still hang together leaves no gap: it only has to stay out of the upload.",
  advice: "Take it out of the upload; there is no need to shoot again.",
  limits: {
    step: widestStep,
    sameDirection: limit(
      5,
      "degrees",
      "a retake from the same place by hand is a few degrees off, the next place on a ring 10 or more; our choice",
    ),
    sameHeight: limit(10, "degrees", "photos within it see nearly the same band of the subject; our choice"),
    ...placedLimits,
    support: limit(
      0.65,
      "ratio",
      "between steps of 18 degrees (median 0.75) and of 36 degrees (median 0.44) round a prop: docs/evaluation.md",
    ),
    samePlace: limit(
      0.04,
      "ratio",
      "steps of 18 degrees round a prop move the matched points by 0.05 of the long edge at the least: docs/evaluation.md",
    ),
  },
} as const;

type Own = LimitTable<keyof typeof leaveOut.limits>;

/** What shows the view of a faulty photo: a good one from the same place, or good ones on both sides. */
export type Cover = "retake" | "both sides";

/**
 * Which good photos cover the view of a faulty one, by where the cameras stood, or where that is not known by what the
 * photos share; undefined where none do.
 *
 * @param faulty photos that do not count as good
 * @param limits of leaveOut
 */
export function coveredWithout(
  file: string,
  facts: Facts,
  faulty: ReadonlySet<string>,
  limits: Own,
): Cover | undefined {
  const { before, after } = goodBeside(file, facts, faulty);
  for (const part of facts.around.parts) {
    if (part.confidence < limits.confidence.value || part.cameras.length < limits.placed.value) continue;
    const own = part.cameras.find((camera) => camera.file === file);
    if (own !== undefined) return coveredOnSphere(own, part, faulty, limits);
    // A photo that is not placed leaves no hole where the good ones beside it in capture order stand close together.
    const [one, other] = [before, after].map((name) => part.cameras.find((camera) => camera.file === name));
    if (one && other)
      return angleBetweenDirections(one, other) <= limits.step.value ? "both sides" : undefined;
  }
  return coveredByShare(file, facts, faulty, limits, before, after);
}

/** Good photos from the same direction, or on both sides at the same height with no gap between them. */
function coveredOnSphere(
  own: AroundCamera,
  part: AroundPart,
  faulty: ReadonlySet<string>,
  limits: Own,
): Cover | undefined {
  const good = part.cameras.filter(({ file }) => file !== own.file && !faulty.has(file));
  if (good.some((camera) => angleBetweenDirections(own, camera) <= limits.sameDirection.value))
    return "retake";
  const beside = good.filter(
    ({ elevationDeg }) => Math.abs(elevationDeg - own.elevationDeg) <= limits.sameHeight.value,
  );
  const offsets = beside.map((camera) => (((camera.azimuthDeg - own.azimuthDeg) % 360) + 360) % 360);
  if (offsets.length < 2) return undefined;
  const placed = good.map((camera, photo) => ({ ...camera, photo }));
  const [from, to] = [Math.max(...offsets), Math.min(...offsets)].map((offset) => {
    const { file } = beside[offsets.indexOf(offset)];
    return placed[good.findIndex((camera) => camera.file === file)];
  });
  return isOpen(stepBetween(from, to, placed), limits.step.value) ? undefined : "both sides";
}

/** The nearest good photos before and after a photo in capture order. */
function goodBeside(
  file: string,
  { photos, orderedBy }: Facts,
  faulty: ReadonlySet<string>,
): { before: string | undefined; after: string | undefined } {
  const at = photos.findIndex((photo) => photo.file === file);
  // Names alone tell no order.
  if (at === -1 || orderedBy !== "capture time") return { before: undefined, after: undefined };
  return {
    before: photos.slice(0, at).findLast((photo) => !faulty.has(photo.file))?.file,
    after: photos.slice(at + 1).find((photo) => !faulty.has(photo.file))?.file,
  };
}

/**
 * A good photo was taken from the same place, as a retake is; or the nearest good photos before and after were compared
 * with each other and share most of what they show. At either end of the order there is no such pair.
 */
function coveredByShare(
  file: string,
  { pairs }: Facts,
  faulty: ReadonlySet<string>,
  limits: Own,
  before: string | undefined,
  after: string | undefined,
): Cover | undefined {
  const retaken = pairs.some(
    ({ a, b, shiftRatio }) =>
      (a === file || b === file) &&
      !faulty.has(a === file ? b : a) &&
      shiftRatio !== undefined &&
      shiftRatio <= limits.samePlace.value,
  );
  if (retaken) return "retake";
  if (before === undefined || after === undefined) return undefined;
  const shared = pairs.find(({ a, b }) => a === before && b === after)?.supportRatio;
  return shared !== undefined && shared >= limits.support.value ? "both sides" : undefined;
}
