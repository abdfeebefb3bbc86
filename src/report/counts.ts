import type { Facts } from "../types/facts.js";
import type { Finding, Judgement, PhotoVerdict } from "../types/judgement.js";
import type { Counts } from "../types/report.js";

/**
 * How many photos fell under each verdict. `photos` counts the photos judged and the files that could not be
 * read (verdict "reshoot"), so pass + edit + leaveOut + reshoot = photos; raw files without a preview are in none of
 * them.
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
 * Photos to take beyond those taken again. Demands at a place (between two photos, or among those that a finding names)
 * add up. A demand of the whole set, which names none (too few photos), is met by the same photos too, so the larger of
 * the two stands, not their sum.
 */
export function photosToAdd(findings: readonly Finding[]): number {
  let atPlaces = 0;
  let inAll = 0;
  for (const { about, photos, severity, toAdd = 0 } of findings) {
    if (severity !== "reshoot") continue;
    if (about === "set" && photos.length === 0) inAll = Math.max(inAll, toAdd);
    else atPlaces += toAdd;
  }
  return Math.max(atPlaces, inAll);
}
