import { connectedParts } from "../measure/parts.js";
import type { Facts } from "../types/facts.js";
import { limit } from "./define.js";

/** What holds two photos together. */
export const linkMatches = limit(
  30,
  "matches",
  "steps of 18 degrees round a prop give 48 at the least, unrelated photos none: docs/evaluation.md",
);

/**
 * Connected components of the photos, by place, over the pairs with so many verified matches or more: the largest
 * first. A photo that no such pair names is a part of its own.
 */
export function partsOf({ photos, pairs }: Facts, matches: number): readonly (readonly number[])[] {
  const place = new Map(photos.map(({ file }, i) => [file, i]));
  const links = pairs
    .filter(({ verifiedMatches }) => verifiedMatches >= matches)
    .map(({ a, b }) => [place.get(a)!, place.get(b)!] as const);
  return connectedParts(photos.length, links);
}

/** The files of all parts of two photos and more, each in capture order, the parts by their first photo. */
export function strongParts(facts: Facts, matches: number): readonly (readonly string[])[] {
  return partsOf(facts, matches)
    .filter(({ length }) => length > 1)
    .toSorted((p, q) => p[0] - q[0])
    .map((part) => part.map((i) => facts.photos[i].file));
}
