import type { AroundPart } from "../../types/around.js";
import type { Finding, PhotoVerdict } from "../../types/judgement.js";
import type { Report } from "../../types/report.js";
import { heightWords } from "../place.js";

/** What to do with a photo, as it is written beside it. */
export const DEEDS: Readonly<Record<PhotoVerdict, string>> = {
  pass: "good",
  reshoot: "take again",
  "leave-out": "move out",
  edit: "edit",
};

/** The classes and marks of each verdict. */
export const MARKS: Readonly<Record<PhotoVerdict, string>> = {
  pass: "good",
  reshoot: "again",
  "leave-out": "out",
  edit: "edit",
};

/** The findings that ask for something to be done about a photo by itself, the worst first as they stand. */
export function reasonsOf(report: Report): ReadonlyMap<string, readonly Finding[]> {
  const reasons = new Map<string, Finding[]>();
  for (const finding of report.judgement.findings) {
    if (finding.severity === "note") continue;
    for (const file of finding.photos) reasons.set(file, [...(reasons.get(file) ?? []), finding]);
  }
  return reasons;
}

/** Which of the findings about a photo gave it its verdict. */
export function mainReason(findings: readonly Finding[], verdict: PhotoVerdict): Finding | undefined {
  return findings.find(({ about, severity }) => about === "photo" && severity === verdict) ?? findings[0];
}

/** A direction as on a clock seen from above, with the part's first photo at 6: "about 10 o'clock". */
export function clockWords(azimuthDeg: number): string {
  const hour = (Math.round(azimuthDeg / 30) + 6) % 12;
  return `about ${hour === 0 ? 12 : hour} o'clock`;
}

/** Where a photo was taken from, in words; undefined where that is not known. */
export function placeWords(placed: readonly AroundPart[], file: string): string | undefined {
  for (const { cameras, bands } of placed) {
    const camera = cameras.find((one) => one.file === file);
    if (camera === undefined) continue;
    const band = bands.find(({ photos }) => photos.includes(file));
    const height = band === undefined ? "" : `, ${heightWords[band.name]}`;
    const { uncertaintyDeg } = camera;
    const sure = uncertaintyDeg < 1 ? "" : ` (give or take ${Math.round(2 * uncertaintyDeg)} degrees)`;
    return `${clockWords(camera.azimuthDeg)}${height}${sure}`;
  }
  return undefined;
}
