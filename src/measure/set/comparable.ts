import type { PairFacts } from "../../types/pair.js";
import type { MeasuredPhoto } from "../../types/photo.js";

/** What sharpness hangs on beside the lens: how large the picture is, and whether it is a raw photo's preview. */
type Sized = Pick<MeasuredPhoto, "widthPx" | "heightPx" | "rawPreview">;

/**
 * Photos whose sharpness may be compared: previews of raw photos only with previews of the same size, turned or not,
 * since cameras make them smaller and sharpen them in their own way; all other photos among themselves.
 * @returns the same text for photos that may be compared
 */
export function sharpnessGroup({ widthPx, heightPx, rawPreview }: Sized): string {
  if (rawPreview === undefined) return "photos";
  return `previews of ${Math.max(widthPx, heightPx)} x ${Math.min(widthPx, heightPx)} px`;
}

/** A pair's facts, without how sharp one is against the other where that may not be compared. */
export function comparableFacts(
  a: Sized,
  b: Sized,
  facts: Omit<PairFacts, "a" | "b">,
): Omit<PairFacts, "a" | "b"> {
  if (sharpnessGroup(a) === sharpnessGroup(b)) return facts;
  const { relativeSharpness: _, relativeDetail: __, ...rest } = facts;
  return rest;
}
