import { Chalk, type ChalkInstance } from "chalk";
import type { Finding, Report } from "../types.js";
import { captureOrder, photoList } from "./photo-list.js";
import { photoTable, tableLegend } from "./photo-table.js";
import { type Entry, type SectionName, type Sections, sectionsOf } from "./sections.js";
import { displayWidth, visible, wrap } from "./text.js";
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
    ...sectionOrder.map((name) => sectionBlock(name, sections, report, page)),
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
  const { facts, judgement, counts } = report;
  const passed = judgement.verdict === "pass";
  const word = passed ? "PASS" : "RESHOOT";
  const ink = passed ? page.ink.green.bold : page.ink.red.bold;
  const lines = marginLines(
    word,
    `${visible(facts.folder)} ${passed ? "is" : "is not"} ready to upload.`,
    page,
    ink,
  );
  lines.push(...textLines(tasksSentence(report), page), ...textLines(countSentence(report), page));
  if (counts.reshoot + counts.toAdd > 0) lines.push(...textLines(caution, page, page.ink.yellow));
  return lines;
}

const caution = "Careful: lamps get hot; look behind you; ladders: local rules.";

/** "Take 4 photos again, add 2, leave 1 out and edit 1." */
function tasksSentence({ judgement, counts }: Report): string {
  const { reshoot, toAdd, leaveOut, edit } = counts;
  const tasks = [
    reshoot > 0 ? `take ${count(reshoot, "photo")} again` : "",
    toAdd > 0 ? `add ${count(toAdd, "photo")}` : "",
    leaveOut > 0 ? `leave ${count(leaveOut, "photo")} out` : "",
    edit > 0 ? `edit ${count(edit, "photo")}` : "",
  ].filter((task) => task !== "");
  if (tasks.length === 0)
    return judgement.verdict === "pass" ? "Nothing to do." : "What stands in the way is said below.";
  const sentence = listed(tasks);
  return `${sentence[0]!.toUpperCase()}${sentence.slice(1)}.`;
}

function countSentence({ facts, counts }: Report): string {
  const judged = `${count(counts.photos, "photo")}, ${counts.pass} of them good as they are.`;
  const unread = facts.unsupported.length;
  return unread === 0
    ? judged
    : `${judged} ${count(unread, "more file is", "more files are")} of a kind not read yet.`;
}

function quietLines(report: Report, page: Page): string[] {
  const { facts, judgement } = report;
  const passed = judgement.verdict === "pass";
  const ink = passed ? page.ink.green.bold : page.ink.red.bold;
  const again = [...judgement.photoVerdicts].filter(([, verdict]) => verdict === "reshoot");
  const line = `${ink(passed ? "PASS" : "RESHOOT")}: ${visible(facts.folder)}. ${tasksSentence(report)}`;
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

function headingText(name: SectionName, { counts }: Report): string {
  switch (name) {
    case "set":
      return "What is wrong with the photos taken together.";
    case "again":
      return `${count(counts.reshoot, "photo")}. Names in the order they were taken.`;
    case "add":
      return "Places where the photos do not hold together.";
    case "out":
      return `${count(counts.leaveOut, "photo")} in the way. Good photos show the same view, so there is nothing to shoot.`;
    case "edit":
      return `${count(counts.edit, "photo")}. Good once put right in a photo editor.`;
    case "notes":
      return "Good to know. Nothing here fails the set.";
  }
}

function sectionBlock(name: SectionName, sections: Sections, report: Report, page: Page): string[] {
  const entries = sections[name];
  if (entries.length === 0) return [];
  const lines = marginLines(headings[name], headingText(name, report), page, headingInk(name, page.ink));
  entries.forEach((entry, index) => {
    const sharesAdvice = endsOn(entries[index - 1]) === startsWith(entry);
    if (!sharesAdvice) lines.push("");
    lines.push(...entryLines(entry, entries[index + 1], page));
  });
  return lines;
}

function headingInk(name: SectionName, ink: ChalkInstance): ChalkInstance {
  if (name === "set" || name === "again" || name === "add") return ink.red.bold;
  if (name === "out" || name === "edit") return ink.yellow.bold;
  return ink.bold;
}

/** One entry: its name in the margin, then every finding; advice that the next finding repeats is held back. */
function entryLines(entry: Entry, next: Entry | undefined, page: Page): string[] {
  const { findings } = entry;
  const body = findings.flatMap((finding, index) => {
    const following = findings[index + 1]?.advice ?? (next === undefined ? undefined : startsWith(next));
    return findingLines(finding, finding.advice !== following, page);
  });
  return besideLabel(entry.label, body, page, page.ink.bold);
}

function startsWith(entry: Entry): string | undefined {
  return entry.findings[0]?.advice;
}

function endsOn(entry: Entry | undefined): string | undefined {
  return entry?.findings.at(-1)?.advice;
}

function findingLines(finding: Finding, withAdvice: boolean, page: Page): string[] {
  const width = page.columns - margin;
  const figures =
    finding.measured === undefined ? "" : `: ${measuredAgainst(finding.measured, finding.limit)}`;
  const lines = wrap(visible(finding.message), width);
  lines.push(...wrap(`(${finding.check}${figures})`, width).map((line) => page.ink.dim(line)));
  if (withAdvice) {
    const [first, ...rest] = wrap(visible(finding.advice), width - arrow.length);
    lines.push(`${arrow}${first ?? ""}`, ...rest.map((line) => " ".repeat(arrow.length) + line));
  }
  return lines;
}

const arrow = "> ";

// ---------------------------------------------------------------- table and remainders

function tableBlock(report: Report, page: Page): string[] {
  const { facts } = report;
  const heading = `${count(facts.photos.length, "photo")} in order of ${facts.orderedBy}. At the left: what to do.`;
  const table = photoTable(report, page.columns).map(({ text, mark }) => markInk(mark, page.ink)(text));
  const legend = wrap(tableLegend(page.columns), page.columns - 7).map((line) =>
    page.ink.dim(`       ${line}`),
  );
  return [...marginLines("ALL PHOTOS", heading, page, page.ink.bold), "", ...table, "", ...legend];
}

function markInk(mark: string, ink: ChalkInstance): (text: string) => string {
  if (mark === "again") return ink.red;
  return mark === "" ? (text) => text : ink.yellow;
}

function notMeasuredBlock(report: Report, page: Page): string[] {
  const { facts, judgement } = report;
  const order = captureOrder(facts.photos);
  const lines = judgement.skipped.flatMap(({ check, photos, reason }) => {
    const where = photos.length === 0 ? "" : ` For ${photoList(photos, order)}.`;
    return besideLabel(
      visible(check),
      wrap(`${sentence(visible(reason))}${where}`, page.columns - margin),
      page,
    );
  });
  const others =
    facts.otherFiles === 0
      ? []
      : textLines(`${count(facts.otherFiles, "other file")} in the folder left alone: no photos.`, page);
  if (lines.length + others.length === 0) return [];
  const heading = lines.length === 0 ? "Every check could be made." : "And why.";
  return [...marginLines("NOT MEASURED", heading, page, page.ink.bold), "", ...lines, ...others];
}

/** A clause as a sentence: a capital first, a full stop last. */
function sentence(text: string): string {
  const capital = text.slice(0, 1).toUpperCase() + text.slice(1);
  return /[.!?]$/.test(capital) ? capital : `${capital}.`;
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
  if (first === undefined || displayWidth(label) > margin - 2)
    return [...wrap(label, page.columns).map(ink), ...indented];
  return [
    ink(label) + " ".repeat(margin - displayWidth(label)) + first,
    ...rest.map((line) => " ".repeat(margin) + line),
  ];
}
