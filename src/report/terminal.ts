import { Chalk, type ChalkInstance } from "chalk";
import { visible } from "../controls.js";
import type { Facts } from "../types/facts.js";
import type { Finding, SetVerdict, Skipped } from "../types/judgement.js";
import type { Report } from "../types/report.js";

import { coveragePictures, pictureLegend } from "./around.js";
import { captureOrder, photoList } from "./photo-list.js";
import { photoTable, tableLegend } from "./photo-table.js";
import {
  type Entry,
  labelOf,
  type SectionName,
  type Sections,
  sectionsOf,
  unnamedPhotos,
} from "./sections.js";
import { displayWidth, wrap } from "./text.js";
import { verdictWords } from "./verdict.js";
import { count, listed, measuredAgainst } from "./wording.js";

export interface TerminalOptions {
  /** Width of the screen; no line is longer. Below 48 the width is taken as 48, above 120 as 120. */
  readonly columns: number;
  readonly colour: boolean;
  /** Only the verdict line and the photos to take again, one a line. */
  readonly quiet?: boolean;
}

/** Screens narrower than this cannot hold the table. */
export const narrowest = 48;
/** Longer lines are hard to read. */
export const widest = 120;

/** Names and headings stand in this margin, words to the right of it. */
const margin = 16;

/**
 * The report for people: the verdict, what to take again and add, what to leave out, what to edit, notes,
 * every photo in one line, and what was not measured. Pure; ends in one line break.
 */
export function renderTerminal(report: Report, options: TerminalOptions): string {
  const columns = Math.max(narrowest, Math.min(widest, Math.floor(options.columns)));
  const ink = new Chalk({ level: options.colour ? 1 : 0 });
  const page = { columns, ink };
  if (options.quiet) return `${quietLines(report, page).join("\n")}\n`;
  const sections = sectionsOf(report);
  const blocks = [
    verdictBlock(report, page),
    ...sectionOrder.flatMap((name) => {
      const block = sectionBlock(name, sections, report, page);
      // The clock directions of the places to add are read off this picture.
      return name === "add" ? [block, aroundBlock(report, page)] : [block];
    }),
    tableBlock(report, page),
    notMeasuredBlock(report, page),
  ];
  return `${blocks
    .filter((block) => block.length > 0)
    .map((block) => block.join("\n"))
    .join("\n\n")}\n`;
}

interface Page {
  readonly columns: number;
  readonly ink: ChalkInstance;
}

// ---------------------------------------------------------------- verdict

function verdictBlock(report: Report, page: Page): string[] {
  const { verdict, requirements } = report.judgement;
  const { word, whatItIs, ready, tasks, counted, caution } = verdictWords(report);
  const lines = marginLines(word, whatItIs ?? ready, page, verdictInk(verdict, page.ink));
  if (whatItIs !== undefined) lines.push(...textLines(ready, page));
  lines.push(...textLines(tasks, page), ...textLines(counted, page));
  if (verdict === "cannot-tell")
    for (const { reason, wayOut } of requirements)
      if (reason !== undefined) lines.push(...textLines(`${reason} ${wayOut ?? ""}`.trim(), page));
  if (caution !== undefined) lines.push(...textLines(caution, page, page.ink.yellow));
  return lines;
}

function verdictInk(verdict: SetVerdict, ink: ChalkInstance): ChalkInstance {
  if (verdict === "pass") return ink.green.bold;
  return verdict === "reshoot" ? ink.red.bold : ink.yellow.bold;
}

function quietLines(report: Report, page: Page): string[] {
  const { facts, judgement } = report;
  const ink = verdictInk(judgement.verdict, page.ink);
  const again = [...judgement.photoVerdicts].filter(([, verdict]) => verdict === "reshoot");
  const { word, tasks } = verdictWords(report);
  const line = `${ink(word)}: ${visible(facts.folder)}. ${tasks}`;
  return [line, ...again.map(([file]) => visible(file))];
}

// ---------------------------------------------------------------- findings

const sectionOrder: readonly SectionName[] = ["set", "again", "add", "out", "edit", "notes"];

const headings: Readonly<Record<SectionName, string>> = {
  set: "WHOLE SET",
  again: "TAKE AGAIN",
  add: "ADD",
  out: "LEAVE OUT",
  edit: "EDIT",
  notes: "NOTES",
};

function headingText(name: SectionName, { counts, facts }: Report): string {
  switch (name) {
    case "set":
      return "What is wrong with the set as a whole.";
    case "again":
      return `${count(counts.reshoot, "photo")}. Names in ${facts.orderedBy === "capture time" ? "the order they were taken" : "alphabetical order: no capture times tell another"}.`;
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

function sectionBlock(name: SectionName, sections: Sections, report: Report, page: Page): string[] {
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
  page: Page,
): string[] {
  const width = page.columns - margin;
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

function aroundBlock(report: Report, page: Page): string[] {
  const pictures = coveragePictures(report, page.columns - margin);
  if (pictures.length === 0) return [];
  const heading =
    "Where the camera stood around the subject, by direction and by height (in degrees above level).";
  const lines = marginLines("AROUND", heading, page, page.ink.bold);
  for (const { title, lines: rows } of pictures) {
    lines.push(...textLines(title, page), "");
    for (const { label, text, gap } of rows)
      lines.push(...besideLabel(label, [gap ? page.ink.red(text) : text], page));
    lines.push("");
  }
  const legend = pictureLegend.flatMap(([mark, words]) =>
    besideLabel(legendIndent + mark, wrap(words, page.columns - margin), page),
  );
  return [...lines, ...legend.map((line) => page.ink.dim(line))];
}

// ---------------------------------------------------------------- table and remainders

function tableBlock(report: Report, page: Page): string[] {
  const { facts } = report;
  const heading = `${count(facts.photos.length, "photo")} in order of ${facts.orderedBy}. The word at the left says what to do.`;
  const table = photoTable(report, page.columns).map(({ text, mark }) => markInk(mark, page.ink)(text));
  const legend = tableLegend(page.columns).flatMap(([head, words]) =>
    besideLabel(legendIndent + head, wrap(words, page.columns - margin), page),
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

function notMeasuredBlock(report: Report, page: Page): string[] {
  const { facts, judgement } = report;
  const order = captureOrder(facts.photos);
  const lines = sameReason(judgement.skipped).flatMap(({ checks, photos, reason }) => {
    const label = labelOf(photos, order);
    // A label with numbers leads to the names in the table.
    const names = /^\d/.test(label) ? `: ${photoList(photos, order)}` : "";
    const words = sentence(visible(reason).replace(/[.!?]?$/, names === "" ? "." : names));
    return besideLabel(label, withIds(words, checks, page), page);
  });
  const others = leftAloneSentences(facts).map((text) => wrap(text, page.columns - margin));
  if (lines.length + others.length === 0) return [];
  const besides = others.length === 0 ? [] : besideLabel("other files", others.flat(), page);
  const heading = "What could not be judged, and why.";
  return [...marginLines("NOT MEASURED", heading, page, page.ink.bold), "", ...lines, ...besides];
}

/** Wrapped words with the ids of checks behind them: on their last line where there is room. */
function withIds(words: string, ids: readonly string[], page: Page): string[] {
  const width = page.columns - margin;
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

function capital(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}

// ---------------------------------------------------------------- lines

type Ink = (text: string) => string;
const plain: Ink = (text) => text;

function marginLines(label: string, text: string, page: Page, ink: Ink = plain): string[] {
  return besideLabel(label, wrap(text, page.columns - margin), page, ink);
}

function textLines(text: string, page: Page, ink: Ink = plain): string[] {
  return wrap(text, page.columns - margin).map((line) => " ".repeat(margin) + ink(line));
}

/** Lines to the right of the margin, the label in the margin beside the first, or above it where too long. */
function besideLabel(label: string, body: readonly string[], page: Page, ink: Ink = plain): string[] {
  const indented = body.map((line) => " ".repeat(margin) + line);
  const [first, ...rest] = body;
  if (first === undefined || displayWidth(label) > margin - 1)
    return [...wrap(label, page.columns).map((line) => ink(line)), ...indented];
  return [
    ink(label) + " ".repeat(margin - displayWidth(label)) + first,
    ...rest.map((line) => " ".repeat(margin) + line),
  ];
}
