import type { Counts, Facts, Finding, Judgement, PhotoVerdict } from "../types.js";

/**
 * How many photos fell under each verdict. `photos` counts the photos judged and the files that could not be
 * read (verdict "reshoot"), so pass + edit + leaveOut + reshoot = photos; files of a kind not read yet are in
 * none of them.
 */
export function countsOf(facts: Facts, judgement: Judgement): Counts {
  const tally: Record<PhotoVerdict, number> = { pass: 0, edit: 0, "leave-out": 0, reshoot: 0 };
  for (const { file } of facts.photos) tally[judgement.photoVerdicts.get(file) ?? "pass"]++;
  tally.reshoot += facts.unreadable.length;
  return {
    photos: facts.photos.length + facts.unreadable.length,
    pass: tally.pass,
    edit: tally.edit,
    leaveOut: tally["leave-out"],
    reshoot: tally.reshoot,
    toAdd: photosToAdd(judgement.findings),
  };
}

/**
 * Photos to take beyond those taken again. One taken between two others also counts towards a set that is too
 * small, so the larger of the two demands stands, not their sum.
 */
export function photosToAdd(findings: readonly Finding[]): number {
  let between = 0;
  let set = 0;
  for (const { about, severity, toAdd = 0 } of findings) {
    if (severity !== "reshoot") continue;
    if (about === "set") set = Math.max(set, toAdd);
    else between += toAdd;
  }
  return Math.max(between, set);
}
