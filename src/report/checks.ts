import Table from "cli-table3";
import type { DeclaredLimit } from "../types.js";
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

/** docs/checks.md: one heading a check, with its limits in a table. */
export function renderChecksMarkdown(checks: readonly CheckText[]): string {
  const parts = checks.map((check) =>
    [
      `## ${check.id}`,
      sentence(check.title),
      `**Measures.** ${check.measures}`,
      `**Why.** ${check.why}`,
      `**What to do.** ${check.advice}`,
      limitTable([limitHead, ...limitRows(check)]),
    ]
      .filter((part) => part !== "")
      .join("\n\n"),
  );
  return `# Checks\n\nMade from the checks in the code. Limits can be replaced with \`--limits FILE\`; see limits.md.\n\n${parts.join("\n\n")}\n`;
}

/** docs/limits.md: every limit of every check in one table, and the file that `--limits` reads. */
export function renderLimitsMarkdown(checks: readonly CheckText[]): string {
  const rows = checks.flatMap((check) => limitRows(check).map((row) => [`\`${check.id}\``, ...row]));
  const first = checks.find(({ limits }) => Object.keys(limits).length > 0);
  const example =
    first === undefined
      ? ""
      : `\n\n\`--limits FILE\` reads a JSON file that names only what it replaces; units stay as they are here:\n\n\`\`\`json\n${exampleFile(first)}\n\`\`\``;
  return `# Limits\n\nMade from the checks in the code: every number a verdict hangs on, its unit, what it can be set to, and where it comes from.${example}\n\n${limitTable([["Check", ...limitHead], ...rows])}\n`;
}

function exampleFile(check: CheckText): string {
  const [name, limit] = Object.entries(check.limits)[0]!;
  return JSON.stringify({ [check.id]: { [name]: limit.value } }, undefined, 2);
}

const limitHead = ["Limit", "Value", "Can be", "Where it comes from"];

function limitRows(check: CheckText): string[][] {
  return Object.entries(check.limits).map(([name, limit]) => [
    `\`${name}\``,
    asStored(limit),
    rangeText(limit),
    limit.source,
  ]);
}

/** "0 to 1": what a limits file may set it to, in the limit's own unit. */
function rangeText({ range: [least, most] }: DeclaredLimit): string {
  return `${least} to ${most}`;
}

function limitTable(rows: readonly (readonly string[])[]): string {
  const [head, ...body] = rows;
  if (body.length === 0) return "";
  const line = (cells: readonly string[]) =>
    `| ${cells.map((cell) => cell.replaceAll("|", "\\|").replaceAll("\n", " ")).join(" | ")} |`;
  return [line(head!), `|${head!.map(() => "---").join("|")}|`, ...body.map(line)].join("\n");
}

function sentence(text: string): string {
  return `${text.slice(0, 1).toUpperCase()}${text.slice(1)}.`;
}
