import type { Facts } from "../types/facts.js";
import { defineCheck, limit, measure } from "./define.js";

export const twinPhotos = defineCheck({
  id: "twin-photos",
  title: "photos taken from one and the same place",
  serves: "around-subject",
  measures:
    "Whether two files hold the same bytes; else how far the matched points of two photos lie apart, as a share of the long edge.",
  why: "Two photos from one place show no depth. They do no harm, but they fill a place in the upload.",
  advice: "Keep one of each; it saves upload places.",
  limits: {
    leastShift: limit(
      0.004,
      "ratio",
      "twins move by under 0.001 of the long edge, steps round a prop by 0.05 at the least: docs/evaluation.md",
    ),
    matches: limit(100, "matches", "twins of any textured subject give several hundred; our choice"),
  },
  judge(facts, limits) {
    const groups = twinGroups(facts, limits.leastShift.value, limits.matches.value);
    return {
      findings: groups.map((files) => ({
        about: "photo" as const,
        severity: "note" as const,
        photos: files,
        measured: measure(files.length, "photos"),
        message: `${files.length === 2 ? `${files[0]} and ${files[1]}` : "These photos"} are twins: they show the subject from one and the same place.`,
        advice:
          files.length === 2
            ? "Keep the sharper one; the other adds nothing."
            : "Keep the sharpest one; the others add nothing.",
      })),
      skipped: [],
    };
  },
});

/** Groups of two or more, each in capture order. Files of the same bytes are twins whatever they show. */
function twinGroups(facts: Facts, leastShift: number, matches: number): string[][] {
  const groups = new Map<string, Set<string>>(facts.photos.map(({ file }) => [file, new Set([file])]));
  const join = (a: string, b: string): void => {
    const one = groups.get(a)!;
    const other = groups.get(b)!;
    if (one === other) return;
    for (const file of other) {
      one.add(file);
      groups.set(file, one);
    }
  };
  const byHash = new Map<string, string>();
  for (const { file, contentHash } of facts.photos) {
    const first = byHash.get(contentHash);
    if (first === undefined) byHash.set(contentHash, file);
    else join(first, file);
  }
  for (const { a, b, shiftRatio, verifiedMatches } of facts.pairs) {
    if (shiftRatio !== undefined && shiftRatio < leastShift && verifiedMatches >= matches) join(a, b);
  }
  return [...new Set(groups.values())]
    .filter((group) => group.size > 1)
    .map((group) => facts.photos.map(({ file }) => file).filter((file) => group.has(file)));
}
