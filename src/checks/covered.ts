import type { Facts } from "../types.js";
import { type LimitTable, limit } from "./define.js";

/**
 * Not a check of its own but the rule that settles what all checks about photos find: take it again, or leave it out.
 * It is explained and its limit can be replaced like those of the checks.
 */
export const leaveOut = {
  id: "leave-out",
  title: "faulty photos whose view good ones cover",
  measures:
    "Whether a good photo was taken from the same place (a retake); else the share of the surface of the good photo before a faulty one that the good photo after it finds again.",
  why: "A faulty photo between two good ones that still hang together leaves no gap: it only has to stay out of the upload.",
  advice: "Take it out of the upload; there is no need to shoot again.",
  limits: {
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

/**
 * Whether good photos cover the view of a faulty one: a good photo was taken from the same place, as a retake is; or
 * the nearest good photos before and after it in capture order were compared with each other and share most of what
 * they show. At either end of the order there is no such pair.
 *
 * @param faulty photos that do not count as good
 * @param limits of leaveOut
 */
export function coveredWithout(
  file: string,
  facts: Facts,
  faulty: ReadonlySet<string>,
  limits: LimitTable<keyof typeof leaveOut.limits>,
): boolean {
  const retaken = facts.pairs.some(
    ({ a, b, shiftRatio }) =>
      (a === file || b === file) &&
      !faulty.has(a === file ? b : a) &&
      shiftRatio !== undefined &&
      shiftRatio <= limits.samePlace.value,
  );
  if (retaken) return true;
  const at = facts.photos.findIndex((photo) => photo.file === file);
  const before = facts.photos.slice(0, Math.max(0, at)).findLast((photo) => !faulty.has(photo.file));
  const after = facts.photos.slice(at + 1).find((photo) => !faulty.has(photo.file));
  if (at === -1 || before === undefined || after === undefined) return false;
  const pair = facts.pairs.find(({ a, b }) => a === before.file && b === after.file);
  return pair?.supportRatio !== undefined && pair.supportRatio >= limits.support.value;
}
