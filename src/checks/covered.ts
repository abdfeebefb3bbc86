import type { Facts } from "../types.js";
import { limit } from "./define.js";

/**
 * Not a check of its own but the rule that settles what all checks about photos find: take it again, or leave it out.
 * It is explained and its limit can be replaced like those of the checks.
 */
export const leaveOut = {
  id: "leave-out",
  title: "faulty photos whose view good ones cover",
  measures:
    "Share of the surface of the good photo before a faulty one that the good photo after it finds again.",
  why: "A faulty photo between two good ones that still hang together leaves no gap: it only has to stay out of the upload.",
  advice: "Take it out of the upload; there is no need to shoot again.",
  limits: {
    support: limit(
      0.65,
      "ratio",
      "between steps of 18 degrees (median 0.75) and of 36 degrees (median 0.44) round a prop: docs/evaluation.md",
    ),
  },
} as const;

/**
 * Whether good photos cover the view of a faulty one: the nearest good photos before and after it in capture order
 * were compared with each other and share most of what they show. At either end of the order there is no such pair.
 *
 * @param faulty photos that do not count as good
 * @param leastSupport share of the surface that has to be found again, 0 to 1
 */
export function coveredWithout(
  file: string,
  facts: Facts,
  faulty: ReadonlySet<string>,
  leastSupport: number,
): boolean {
  const at = facts.photos.findIndex((photo) => photo.file === file);
  const before = facts.photos.slice(0, Math.max(0, at)).findLast((photo) => !faulty.has(photo.file));
  const after = facts.photos.slice(at + 1).find((photo) => !faulty.has(photo.file));
  if (at === -1 || before === undefined || after === undefined) return false;
  const pair = facts.pairs.find(({ a, b }) => a === before.file && b === after.file);
  return pair?.supportRatio !== undefined && pair.supportRatio >= leastSupport;
}
