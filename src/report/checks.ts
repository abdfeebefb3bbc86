import Table from "cli-table3";
import type { DeclaredLimit } from "../types/units.js";
import { padEnd, wrap } from "./text.js";
import { asStored } from "./wording.js";

/** What the renderers read of a check. */
export interface CheckText {
  readonly id: string;
  readonly title: string;
  readonly measures: string;
  readonly why: string;
  readonly advice: string;
  readonly limits: Readonly<Record<string, DeclaredLimit>>;
}

/** Every check in one line: its id and what it looks for. */
export function renderCheckList(checks: readonly CheckText[], columns: number): string {
  const width = Math.max(...checks.map(({ id }) => id.length)) + 2;
  const table = new Table({
    chars: NO_BORDERS,
    colWidths: [width, Math.max(20, columns - width)],
    wordWrap: true,
    style: { "padding-left": 0, "padding-right": 0, head: [], border: [] },
  });
  table.push(...checks.map(({ id, title }) => [id, title]));
  const lines = table
    .toString()
    .split("\n")
    .map((line) => line.trimEnd());
  return `${lines.join("\n")}\n\nOne of them in full: goodgate checks ID\n`;
}

const BORDERS = ["top", "bottom", "left", "right"].flatMap((side) => [
  side,
  `${side}-mid`,
  `${side}-left`,
  `${side}-right`,
]);

/** A table of words alone, which also reads well piped. */
const NO_BORDERS = Object.fromEntries([...BORDERS, "mid", "mid-mid", "middle"].map((part) => [part, ""]));

/** One check in full: what it measures, why, what to do, and its limits with where they come from. */
export function renderCheck(check: CheckText, columns: number): string {
  const label = 12;
  const block = (name: string, text: string) => {
    const [first = "", ...rest] = wrap(text, columns - label);
    return [padEnd(name, label) + first, ...rest.map((line) => " ".repeat(label) + line)].join("\n");
  };
  const limits = Object.entries(check.limits).map(([name, limit]) =>
    block("Limit", `${name} = ${asStored(limit)}; can be set from ${rangeText(limit)}. Why: ${limit.source}`),
  );
  return `${[
    `${check.id}: ${check.title}`,
    block("Measures", check.measures),
    block("Why", check.why),
    block("What to do", check.advice),
    ...(limits.length === 0 ? [block("Limit", "none: it judges what is stored, not a number")] : limits),
  ].join("\n\n")}\n`;
}

/** "0 to 1": what a limits file may set it to, in the limit's own unit. */
export function rangeText({ range: [least, most] }: DeclaredLimit): string {
  return `${least} to ${most}`;
}
