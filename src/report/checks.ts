import type { DeclaredLimit } from "../types/units.js";
import { plainTable } from "./table.js";

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
  const table = plainTable(
    [
      { width, align: "left" },
      { width: Math.max(20, columns - width), align: "left" },
    ],
    checks.map(({ id, title }) => [id, title]),
    true,
  );
  return `${table.join("\n")}\n\nOne of them in full: goodgate checks ID\n`;
}

/** One check in full: why it matters and what to do, then what it measures, and its limits with where they come from. */
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
    block("Why", check.why),
    block("What to do", check.advice),
    block("Measures", check.measures),
    ...(limits.length === 0 ? [block("Limit", "none: it judges what is stored, not a number")] : limits),
  ].join("\n\n")}\n`;
}

/** "0 to 1": what a limits file may set it to, in the limit's own unit. */
export function rangeText({ range: [least, most] }: DeclaredLimit): string {
  return `${least} to ${most}`;
}
