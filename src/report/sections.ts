import type { Finding, PhotoVerdict, Severity } from "../types/judgement.js";
import type { Report } from "../types/report.js";
import { captureOrder, photoList } from "./photo-list.js";
import { isOfFiles } from "./to-do.js";

/** Findings shown together: all about one photo, or one about several photos, a space, or the set. */
export interface Entry {
  /** Short enough for the margin: "no. 12", "9 photos", "whole set". */
  readonly label: string;
  readonly findings: readonly Finding[];
}

export type SectionName = "set" | "files" | "again" | "add" | "out" | "edit" | "notes";

export type Sections = Readonly<Record<SectionName, readonly Entry[]>>;

/**
 * Every finding in exactly one section. What is wrong with one photo stays together under that photo, where
 * its worst finding stands; notes are kept apart, since they never ask for anything.
 */
export function sectionsOf(report: Report): Sections {
  const { facts, judgement } = report;
  const order = captureOrder(facts.photos);
  const sections: Record<SectionName, Placed[]> = {
    set: [],
    files: [],
    again: [],
    add: [],
    out: [],
    edit: [],
    notes: [],
  };
  const byPhoto = new Map<string, Placed>();
  for (const finding of judgement.findings) {
    const section = sectionOf(finding, judgement.photoVerdicts);
    const key = oneAboutOnePhoto(finding) ? `${section}/${finding.photos[0]}` : undefined;
    const known = key === undefined ? undefined : byPhoto.get(key);
    if (known !== undefined) {
      known.findings.push(finding);
      continue;
    }
    const placed = {
      label: labelOf(finding.photos, order),
      findings: [finding],
      rank: rankOf(finding, order),
    };
    if (key !== undefined) byPhoto.set(key, placed);
    sections[section].push(placed);
  }
  for (const entries of Object.values(sections)) entries.sort((a, b) => a.rank - b.rank);
  return sections;
}

interface Placed {
  readonly label: string;
  readonly findings: Finding[];
  readonly rank: number;
}

function oneAboutOnePhoto(finding: Finding): boolean {
  return finding.about === "photo" && finding.photos.length === 1;
}

function sectionOf(finding: Finding, verdicts: ReadonlyMap<string, PhotoVerdict>): SectionName {
  if (finding.severity === "note") return "notes";
  if (isOfFiles(finding)) return "files";
  if (finding.severity === "reshoot" && finding.about === "set") return "set";
  if (finding.severity === "reshoot" && finding.about === "between") return "add";
  const verdict = oneAboutOnePhoto(finding) ? verdicts.get(finding.photos[0]!) : undefined;
  return bySeverity[verdict === undefined || verdict === "pass" ? finding.severity : verdict];
}

const bySeverity: Readonly<Record<Severity, SectionName>> = {
  reshoot: "again",
  "leave-out": "out",
  edit: "edit",
  note: "notes",
};

/** Whether photos are so many that "all photos" names them. */
function namesAll(photos: readonly string[], order: ReadonlyMap<string, number>): boolean {
  return photos.length > 2 && photos.length === order.size;
}

/** The photos' numbers in the table, how many they are, or the set. */
export function labelOf(photos: readonly string[], order: ReadonlyMap<string, number>): string {
  if (photos.length === 0) return "whole set";
  if (namesAll(photos, order)) return "all photos";
  if (photos.length > 2) return `${photos.length} photos`;
  const numbers = photos.map((file) => order.get(file));
  if (numbers.includes(undefined)) return photos.length === 1 ? "one file" : "two files";
  return `no. ${numbers.map((number) => number! + 1).join(", ")}`;
}

/**
 * The names that a finding's own sentence leaves out, for a line of their own; undefined where it says them.
 */
export function unnamedPhotos(finding: Finding, order: ReadonlyMap<string, number>): string | undefined {
  const { photos, message } = finding;
  if (namesAll(photos, order) || photos.every((file) => message.includes(file))) return undefined;
  const list = photoList(photos, order);
  // "a to b (7 photos)" is said by a sentence that begins "a to b".
  return message.includes(list.replace(/ \(\d+ photos\)$/, "")) ? undefined : list;
}

/** What is about the set comes first, then findings by the first photo they name, in capture order. */
function rankOf(finding: Finding, order: ReadonlyMap<string, number>): number {
  const places = finding.photos.map((file) => order.get(file) ?? order.size);
  return places.length === 0 ? -1 : Math.min(...places);
}
