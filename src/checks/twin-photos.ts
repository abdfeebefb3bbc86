import { angleBetweenDirections } from "../measure/coverage/directions.js";
import type { Facts } from "../types/facts.js";
import type { PairFacts } from "../types/pair.js";
import { defineCheck, type LimitTable, limit, measure } from "./define.js";

export const twinPhotos = defineCheck({
  id: "twin-photos",
  title: "photos taken from one and the same place",
  serves: "around-subject",
  measures:
    "Whether two files hold the same bytes; else how far the matched points of two photos lie apart, as a share of the long edge, where most keypoints of the one are found in the other. What stands still behind a subject that was turned matches only itself. Photos whose places are known and differ are no twins.",
  why: "Two photos from one place show no depth. They do no harm, but they fill a place in the upload.",
  advice: "Keep one of each; it saves upload places.",
  limits: {
    leastShift: limit(
      0.006,
      "ratio",
      "between hand-held twins on a real capture (0.0028 and 0.0044) and its nearest steps (0.0076, 9 degrees apart); twins from a stand move by under 0.001: docs/evaluation-exposure.md",
    ),
    alike: limit(
      0.62,
      "ratio",
      "between twins (0.65 at the least, by hand) and two sides of a turned subject before one still background (0.58 at the most): docs/evaluation-exposure.md",
    ),
    apart: limit(
      3,
      "degrees",
      "placed cameras are good to a degree or two; the least step that anybody takes on purpose is 5; our choice",
    ),
    matches: limit(100, "matches", "twins of any textured subject give several hundred; our choice"),
  },
  judge(facts, limits) {
    const groups = twinGroups(facts, (pair) => areTwins(facts, pair, limits));
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

/** Whether two photos show the same from one and the same place. */
function areTwins(
  { around, photos }: Facts,
  { a, b, shiftRatio, verifiedMatches }: PairFacts,
  limits: LimitTable<"leastShift" | "alike" | "apart" | "matches">,
): boolean {
  if (shiftRatio === undefined || shiftRatio >= limits.leastShift.value) return false;
  const keypoints = [a, b].map(
    (name) => photos.find(({ file }) => file === name)?.measures.keypoints.value ?? Number.POSITIVE_INFINITY,
  );
  if (verifiedMatches < limits.alike.value * Math.min(...keypoints)) return false;
  if (verifiedMatches < limits.matches.value) return false;
  for (const { cameras } of around.parts) {
    const [one, other] = [a, b].map((name) => cameras.find(({ file }) => file === name));
    if (one && other) return angleBetweenDirections(one, other) < limits.apart.value;
  }
  return true;
}

/** Groups of two or more, each in capture order. Files of the same bytes are twins whatever they show. */
function twinGroups(facts: Facts, twins: (pair: PairFacts) => boolean): string[][] {
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
  for (const pair of facts.pairs) if (twins(pair)) join(pair.a, pair.b);
  return [...new Set(groups.values())]
    .filter((group) => group.size > 1)
    .map((group) => facts.photos.map(({ file }) => file).filter((file) => group.has(file)));
}
