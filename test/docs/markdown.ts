import { type CheckText, rangeText } from "#goodgate/report/checks.js";
import { asStored } from "#goodgate/report/wording.js";

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
      : `\n\n\`--limits FILE\` reads a JSON file that names only what it replaces; units stay as they are here. Where checks share a boundary (the step of \`gap\` and the gap of \`wide-step\`), a number given for one holds for all:\n\n\`\`\`json\n${exampleFile(first)}\n\`\`\``;
  return `# Limits\n\nMade from the checks in the code: the numbers that verdicts hang on, their units, what they can be set to, and where they come from.${example}\n\n${limitTable([["Check", ...limitHead], ...rows])}\n`;
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
