import type { Facts } from "../types.js";

/**
 * The share of a photo's occupied surface that a good neighbour must still find again across a photo that is left
 * out. SPREAD:covered
 */
export const COVERED_SUPPORT_RATIO = 0.3;

/**
 * Whether good photos cover the view of a faulty one: the nearest good photos before and after it in capture order
 * were compared with each other and share most of what they show. At either end of the order there is no such pair.
 *
 * @param faulty photos that do not count as good
 */
export function coveredWithout(file: string, facts: Facts, faulty: ReadonlySet<string>): boolean {
  const at = facts.photos.findIndex((photo) => photo.file === file);
  const before = facts.photos.slice(0, Math.max(0, at)).findLast((photo) => !faulty.has(photo.file));
  const after = facts.photos.slice(at + 1).find((photo) => !faulty.has(photo.file));
  if (at === -1 || before === undefined || after === undefined) return false;
  const pair = facts.pairs.find(({ a, b }) => a === before.file && b === after.file);
  return pair?.supportRatio !== undefined && pair.supportRatio >= COVERED_SUPPORT_RATIO;
}
