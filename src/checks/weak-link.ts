import type { PairFacts } from "../types/pair.js";
import { defineCheck, measure } from "./define.js";
import { linkMatches, strongParts } from "./links.js";

export const weakLink = defineCheck({
  id: "weak-link",
  title: "places where the set falls apart",
  serves: "one-whole",
  measures:
    "Verified matches between photos that follow one another, where nothing else joins the two sides.",
  why: "Where too little is shared across a step, the reconstruction breaks into pieces there.",
  advice:
    "Take two or three photos between the two, so that each step shows most of what the last one showed.",
  limits: {
    matches: linkMatches,
  },
  judge(facts, limits) {
    const parts = strongParts(facts, limits.matches.value);
    const partOf = new Map(parts.flatMap((part) => part.map((file) => [file, part] as const)));
    const joined = facts.photos.map(({ file }) => file).filter((file) => partOf.has(file));
    const pairs = new Map<string, PairFacts>(facts.pairs.map((pair) => [`${pair.a}\n${pair.b}`, pair]));
    return {
      findings: joined.flatMap((a, k) => {
        const b = joined[k + 1];
        if (b === undefined || partOf.get(a) === partOf.get(b)) return [];
        const shared = pairs.get(`${a}\n${b}`)?.verifiedMatches ?? 0;
        return [
          {
            about: "between" as const,
            severity: "reshoot" as const,
            photos: [a, b],
            measured: measure(shared, "matches"),
            limit: limits.matches,
            message: `The set falls apart between ${a} and ${b}: they share too little, and nothing else joins the two sides.`,
            advice: "Stand between these two places and take two or three photos in small steps.",
            toAdd: 2,
          },
        ];
      }),
      skipped: [],
    };
  },
});
