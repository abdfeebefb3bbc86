import { connectedParts } from "../measure/set/solve.js";
import type { PairFacts } from "../types.js";
import { defineCheck, limit, measure } from "./define.js";

export const weakLink = defineCheck({
  id: "weak-link",
  title: "places where the set falls apart",
  measures:
    "Verified matches between photos that follow one another, where nothing else joins the two sides.",
  why: "Where too little is shared across a step, the reconstruction breaks into pieces there.",
  advice:
    "Take two or three photos between the two, so that each step shows most of what the last one showed.",
  limits: {
    matches: limit(
      30,
      "matches",
      "steps of 18 degrees round a prop give 48 at the least, unrelated photos none: docs/evaluation.md",
    ),
  },
  judge(facts, limits) {
    const place = new Map(facts.photos.map(({ file }, i) => [file, i]));
    const strong = facts.pairs
      .filter(({ verifiedMatches }) => verifiedMatches >= limits.matches.value)
      .map(({ a, b }) => ({ a: place.get(a)!, b: place.get(b)! }));
    const parts = connectedParts(facts.photos.length, strong);
    const joined = facts.photos.flatMap((_, i) => (parts[i] === -1 ? [] : [i]));
    const pairs = new Map<string, PairFacts>(facts.pairs.map((pair) => [`${pair.a}\n${pair.b}`, pair]));
    return {
      findings: joined.flatMap((i, k) => {
        const next = joined[k + 1];
        if (next === undefined || parts[i] === parts[next]) return [];
        const a = facts.photos[i].file;
        const b = facts.photos[next].file;
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
