import type { ChalkInstance } from "chalk";
import { visible } from "../controls.js";
import type { Facts } from "../types/facts.js";
import type { Finding, Skipped } from "../types/judgement.js";
import type { Report } from "../types/report.js";
import type { SinceLastRun } from "../types/since.js";

import { coveragePictures, pictureLegend } from "./around.js";
import { captureOrder, photoList } from "./photo-list.js";
import { photoTable, tableLegend } from "./photo-table.js";
import { besideLabel, lastLines, marginLines, type Screen, textLines, verdictInk } from "./screen.js";
import {
  type Entry,
  labelOf,
  type SectionName,
  type Sections,
  sectionsOf,
  unnamedPhotos,
} from "./sections.js";
import { sinceSentence } from "./since.js";
import { displayWidth, wrap } from "./text.js";
import { isOfFiles } from "./to-do.js";
import { verdictWords } from "./verdict.js";
import { capital, count, listed, measuredAgainst } from "./wording.js";

/** Where names and headings end. */
const MARGIN = 16;

/**
 * All that a report says, with what was measured: every finding under what to do, where the camera stood, every photo in one
 * line, and what was not measured.
 */
export function everythingLines(
  report: Report,
  given: Omit<Screen, "margin">,
  since?: SinceLastRun,
): string[] {
  const page: Screen = { ...given, margin: MARGIN };
  const sections = sectionsOf(report);
  const blocks = [
    verdictBlock(report, page, since),
    ...sectionOrder.flatMap((name) => {
      const block = sectionBlock(name, sections, report, page);
      // The clock directions of the places to add are read off this picture.
      return name === "add" ? [block, aroundBlock(report, page)] : [block];
    }),
    tableBlock(report, page),
    notMeasuredBlock(report, page),
  ].filter((block) => block.length > 0);
  const last = lastLines(report.judgement.verdict, verdictWords(report), page);
  return [...blocks.flatMap((block, i) => (i === 0 ? block : ["", ...block])), ...last];
}

function verdictBlock(report: Report, page: Screen, since?: SinceLastRun): string[] {
  const changed = since && sinceSentence(since, captureOrder(report.facts.photos));
  const { verdict, requirements } = report.judgement;
  const { word, whatItIs, ready, tasks, counted, caution } = verdictWords(report);
  const lines = marginLines(word, whatItIs ?? ready, page, verdictInk(verdict, page.ink));
  if (whatItIs !== undefined) lines.push(...textLines(ready, page));
  lines.push(...textLines(tasks, page), ...textLines(counted, page));
  if (changed !== undefined) lines.push(...textLines(changed, page));
  if (verdict === "cannot-tell")
    for (const { reason, wayOut } of requirements)
      if (reason !== undefined) lines.push(...textLines(`${reason} ${wayOut ?? ""}`.trim(), page));
  if (caution !== undefined) lines.push(...textLines(caution, page, page.ink.yellow));
  return lines;
}

// ---------------------------------------------------------------- findings

const sectionOrder: readonly SectionName[] = ["set", "files", "again", "add", "out", "edit", "notes"];

const headings: Readonly<Record<SectionName, string>> = {
  set: "WHOLE SET",
  files: "FILES",
  again: "TAKE AGAIN",
  add: "ADD",
  out: "MOVE OUT",
  edit: "EDIT",
  notes: "NOTES",
};

function headingText(name: SectionName, { counts, facts, judgement }: Report): string {
  const again = new Set(
    judgement.findings
      .filter((one) => one.about === "photo" && one.severity === "reshoot" && !isOfFiles(one))
      .flatMap(({ photos }) => photos),
  ).size;
  switch (name) {
    case "set":
      return "What is wrong with the set as a whole.";
    case "files":
      return "What to do before anything is shot again.";
    case "again":
      return `${count(again, "photo")}. Names in ${facts.orderedBy === "capture time" ? "the order they were taken" : "alphabetical order: no capture times tell another"}.`;
    case "add":
      return "Places where photos are missing.";
    case "out":
      return `${count(counts.leaveOut, "photo")} to move out of the folder. Nothing to take again, unless it says so.`;
    case "edit":
      return `${counts.edit > 0 ? `${count(counts.edit, "photo")}. ` : ""}Good once put right in a photo editor.`;
    case "notes":
      return "Good to know. Nothing here fails the set.";
  }
}

function sectionBlock(name: SectionName, sections: Sections, report: Report, page: Screen): string[] {
  const entries = sections[name];
  if (entries.length === 0) return [];
  const lines = marginLines(headings[name], headingText(name, report), page, headingInk(name, page.ink));
  const order = captureOrder(report.facts.photos);
  entries.forEach((entry, index) => {
    if (!sharesAdvice(entries[index - 1], entry)) lines.push("");
    const heldBack = sharesAdvice(entry, entries[index + 1]);
    const body = entry.findings.flatMap((finding) => findingLines(finding, order, !heldBack, page));
    lines.push(...besideLabel(entry.label, body, page, page.ink.bold));
  });
  return lines;
}

/** Whether two entries that follow one another end in the same words, which are then said once, at the end. */
function sharesAdvice(entry: Entry | undefined, next: Entry | undefined): boolean {
  if (entry?.findings.length !== 1 || next?.findings.length !== 1) return false;
  return entry.findings[0]!.advice === next.findings[0]!.advice;
}

function headingInk(name: SectionName, ink: ChalkInstance): ChalkInstance {
  if (name === "set" || name === "again" || name === "add") return ink.red.bold;
  if (name === "out" || name === "edit") return ink.yellow.bold;
  return ink.bold;
}

function findingLines(
  finding: Finding,
  order: ReadonlyMap<string, number>,
  withAdvice: boolean,
  page: Screen,
): string[] {
  const width = page.columns - MARGIN;
  const { check, measured, limit, message, advice } = finding;
  const figures = measured === undefined ? "" : `: ${measuredAgainst(measured, limit)}`;
  const lines = wrap(visible(message), width);
  const names = unnamedPhotos(finding, order);
  if (names !== undefined) lines.push(...wrap(names, width));
  lines.push(...wrap(`(${check}${figures})`, width).map((line) => page.ink.dim(line)));
  if (withAdvice) {
    const [first = "", ...rest] = wrap(visible(advice), width - arrow.length);
    lines.push(arrow + first, ...rest.map((line) => " ".repeat(arrow.length) + line));
  }
  return lines;
}

const arrow = "> ";

// ---------------------------------------------------------------- coverage

function aroundBlock(report: Report, page: Screen): string[] {
  const pictures = coveragePictures(report, page.columns - MARGIN);
  if (pictures.length === 0) return [];
  const heading =
    "Where the camera stood around the subject, by direction and by height (in degrees above level).";
  const lines = marginLines("AROUND", heading, page, page.ink.bold);
  for (const { title, lines: rows, names } of pictures) {
    lines.push(...textLines(title, page), "");
    for (const { label, text, gap } of rows)
      lines.push(...besideLabel(label, [gap ? page.ink.red(text) : text], page));
    if (names.length > 0) lines.push("");
    for (const { label, text } of names) lines.push(...marginLines(label, text, page));
    lines.push("");
  }
  const drawn = pictures.some(({ lines: rows }) => rows.some(({ text }) => text.includes("#")));
  const legend = pictureLegend.flatMap(([mark, words]) =>
    mark === "###" && !drawn
      ? []
      : besideLabel(legendIndent + mark, wrap(words, page.columns - MARGIN), page),
  );
  return [...lines, ...legend.map((line) => page.ink.dim(line))];
}

// ---------------------------------------------------------------- table and remainders

function tableBlock(report: Report, page: Screen): string[] {
  const { facts } = report;
  const heading = `${count(facts.photos.length, "photo")} in order of ${facts.orderedBy}. The word at the left says what to do.`;
  const table = photoTable(report, page.columns).map(({ text, mark }) => markInk(mark, page.ink)(text));
  const legend = tableLegend(page.columns).flatMap(([head, words]) =>
    besideLabel(legendIndent + head, wrap(words, page.columns - MARGIN), page),
  );
  return [
    ...marginLines("ALL PHOTOS", heading, page, page.ink.bold),
    "",
    ...table,
    "",
    ...legend.map((line) => page.ink.dim(line)),
  ];
}

const legendIndent = " ".repeat(6);

function markInk(mark: string, ink: ChalkInstance): (text: string) => string {
  if (mark === "again") return ink.red;
  return mark === "" ? (text) => text : ink.yellow;
}

function notMeasuredBlock(report: Report, page: Screen): string[] {
  const { facts, judgement } = report;
  const order = captureOrder(facts.photos);
  const lines = sameReason(judgement.skipped).flatMap(({ checks, photos, reason }) => {
    const label = labelOf(photos, order);
    // A label with numbers leads to the names in the table.
    const names = /^\d/.test(label) ? `: ${photoList(photos, order)}` : "";
    const words = sentence(visible(reason).replace(/[.!?]?$/, names === "" ? "." : names));
    return besideLabel(label, withIds(words, checks, page), page);
  });
  const others = leftAloneSentences(facts).map((text) => wrap(text, page.columns - MARGIN));
  if (lines.length + others.length === 0) return [];
  const besides = others.length === 0 ? [] : besideLabel("other files", others.flat(), page);
  const heading = "What could not be judged, and why.";
  return [...marginLines("NOT MEASURED", heading, page, page.ink.bold), "", ...lines, ...besides];
}

/** Wrapped words with the ids of checks behind them: on their last line where there is room. */
function withIds(words: string, ids: readonly string[], page: Screen): string[] {
  const width = page.columns - MARGIN;
  const lines = wrap(words, width);
  const last = lines.at(-1) ?? "";
  const text = `(${ids.join(", ")})`;
  if (displayWidth(last) + 1 + text.length <= width)
    return [...lines.slice(0, -1), `${last} ${page.ink.dim(text)}`];
  return [...lines, ...wrap(text, width).map((line) => page.ink.dim(line))];
}

/** What lies in the folder and was not judged. */
function leftAloneSentences({ otherFiles, leftAlone }: Facts): string[] {
  const { liveVideos = 0, sidecars = 0, rawBeside = [] } = leftAlone ?? {};
  const sentences: string[] = [];
  if (otherFiles > 0) {
    const among = [
      ...(liveVideos > 0 ? [count(liveVideos, "video of a live photo", "videos of live photos")] : []),
      ...(sidecars > 0 ? [count(sidecars, "sidecar file")] : []),
    ];
    const files = count(otherFiles, "file that is no photo was", "files that are no photos were");
    sentences.push(`${files} left alone${among.length > 0 ? `, among them ${listed(among)}` : ""}.`);
  }
  if (rawBeside.length > 0)
    sentences.push(
      `${count(rawBeside.length, "raw file was", "raw files were")} left alone: the JPEG or HEIC beside ${rawBeside.length === 1 ? "it" : "each"} shows the same shot.`,
    );
  return sentences;
}

/** Checks that could not judge the same photos for the same reason, as one. */
function sameReason(skipped: readonly Skipped[]): readonly (Omit<Skipped, "check"> & { checks: string[] })[] {
  const groups = new Map<string, Omit<Skipped, "check"> & { checks: string[] }>();
  for (const { check, photos, reason } of skipped) {
    const key = JSON.stringify([reason, photos]);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, { checks: [check], photos, reason });
    else group.checks.push(check);
  }
  return [...groups.values()];
}

/** A clause as a sentence: a capital first, a full stop last. */
function sentence(text: string): string {
  return /[.!?]$/.test(text) ? capital(text) : `${capital(text)}.`;
}
