import { connectedParts } from "../measure/set/solve.js";
import type { Facts } from "../types.js";
import { limit } from "./define.js";

/** What holds two photos together. */
export const linkMatches = limit(
  30,
  "matches",
  "steps of 18 degrees round a prop give 48 at the least, unrelated photos none: docs/evaluation.md",
);

/**
 * Photos that hang together through pairs with so many verified matches or more, each part in capture order, the parts
 * by their first photo. A photo that no such pair names is in none of them.
 */
export function strongParts(facts: Facts, matches: number): readonly (readonly string[])[] {
  const place = new Map(facts.photos.map(({ file }, i) => [file, i]));
  const strong = facts.pairs
    .filter(({ verifiedMatches }) => verifiedMatches >= matches)
    .map(({ a, b }) => ({ a: place.get(a)!, b: place.get(b)! }));
  const members = new Map<number, string[]>();
  for (const [i, part] of connectedParts(facts.photos.length, strong).entries()) {
    if (part === -1) continue;
    members.set(part, [...(members.get(part) ?? []), facts.photos[i].file]);
  }
  return [...members.values()];
}
