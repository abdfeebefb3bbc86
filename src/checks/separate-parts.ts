import type { Facts } from "../types/facts.js";
import { defineCheck, limit, measure } from "./define.js";
import { linkMatches, strongParts } from "./links.js";

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
  // Which photos to take, and how many, is weak-link's to say: it knows each place where the order passes between parts.
  judge(facts, limits) {
    const parts = strongParts(facts, limits.matches.value).filter(
      ({ length }) => length >= limits.photos.value,
    );
    const others = parts.toSorted((a, b) => b.length - a.length).slice(1);
    return {
      findings: others.map((photos) => {
        const [border] = bordersOf(facts, photos);
        return {
          about: "set" as const,
          severity: "reshoot" as const,
          photos,
          measured: measure(photos.length, "photos"),
          limit: limits.photos,
          message: `${photos.length} photos hang together with nothing else: they share too little with the others to be joined to them.`,
          advice: `Join them in small steps${border === undefined ? "" : `, for example between ${border.join(" and ")}`}: each photo should show most of what the last one showed.`,
        };
      }),
      skipped: [],
    };
  },
});

/** Where the capture order passes from these photos to others and back. */
function bordersOf(facts: Facts, photos: readonly string[]): (readonly [string, string])[] {
  const own = new Set(photos);
  return facts.photos.slice(1).flatMap(({ file }, i) => {
    const before = facts.photos[i].file;
    return own.has(before) === own.has(file) ? [] : [[before, file] as const];
  });
}
