import type { Facts } from "../types/facts.js";
import { defineCheck, limit, measure } from "./define.js";
import { linkMatches, strongParts } from "./links.js";

/** Two or three small steps join what one too wide a step parts; the fewest, our choice. */
const JOINING_PHOTOS = 2;

export const separateParts = defineCheck({
  id: "separate-parts",
  title: "photos that hang together with nothing else",
  serves: "one-whole",
  measures:
    "Which photos are joined by photos that share enough surface; groups of a few are strays (stray-photo), larger ones are parts.",
  why: "Parts that share nothing come out as separate pieces of model, with no known angle or size between them.",
  advice:
    "Take photos from one part to the other in small steps, so that each shows most of what the last one showed.",
  limits: {
    matches: linkMatches,
    photos: limit(4, "photos", "up to three are strays (stray-photo); our choice"),
  },
  judge(facts, limits) {
    const parts = strongParts(facts, limits.matches.value).filter(
      ({ length }) => length >= limits.photos.value,
    );
    const others = parts.toSorted((a, b) => b.length - a.length).slice(1);
    return {
      findings: others.map((photos) => {
        const border = joinOf(facts, photos);
        return {
          about: "set" as const,
          severity: "reshoot" as const,
          photos,
          measured: measure(photos.length, "photos"),
          limit: limits.photos,
          message: `${photos.length} photos hang together with nothing else: they share too little with the others to be joined to them.`,
          advice: `Join them in small steps${border === undefined ? "" : `, for example between ${border.join(" and ")}`}: each photo should show most of what the last one showed.`,
          toAdd: JOINING_PHOTOS,
        };
      }),
      skipped: [],
    };
  },
});

/**
 * Where these photos come nearest to all others: the two that share most, or where none share anything the first place
 * where the order in time passes between them. Names alone tell no order.
 */
function joinOf(facts: Facts, photos: readonly string[]): readonly [string, string] | undefined {
  const own = new Set(photos);
  const across = facts.pairs.filter(
    ({ a, b, verifiedMatches }) => verifiedMatches > 0 && own.has(a) !== own.has(b),
  );
  if (across.length > 0) {
    const { a, b } = across.reduce((p, q) => (q.verifiedMatches > p.verifiedMatches ? q : p));
    return [a, b];
  }
  if (facts.orderedBy !== "capture time") return undefined;
  const k = facts.photos.findIndex(
    ({ file }, i) => i > 0 && own.has(facts.photos[i - 1].file) !== own.has(file),
  );
  return k === -1 ? undefined : [facts.photos[k - 1].file, facts.photos[k].file];
}
