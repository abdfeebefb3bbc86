/**
 * How long the report is: lines at 80 and at 120 columns, short and with --all.
 * usage: node build/test/evaluate/report-lengths.js FOLDER... [--save]
 * Bars: 45 lines for up to 100 photos with up to 12 things to do, never more than 70.
 */
import { writeFile } from "node:fs/promises";
import { basename, join } from "node:path";
import { parseArgs } from "node:util";
import { audit } from "#goodgate/pipeline/audit.js";
import { renderTerminal } from "#goodgate/report/terminal.js";
import { toDo } from "#goodgate/report/to-do.js";
import type { Report } from "#goodgate/types/report.js";

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { save: { type: "boolean", default: false } },
});
if (positionals.length === 0) {
  process.stderr.write("expected folders of photos, found none: report-lengths FOLDER...\n");
  process.exit(2);
}

function linesOf(report: Report, columns: number, form: "short" | "all"): string[] {
  return renderTerminal(report, { columns, colour: false, form }).trimEnd().split("\n");
}

function row(folder: string, report: Report): string {
  const short = [80, 120].map((columns) => linesOf(report, columns, "short"));
  const most = toDo(report).tasks.length <= 12 && report.facts.photos.length <= 100 ? 45 : 70;
  const widest = Math.max(...(short[0] ?? []).map((line) => line.length));
  const lengths = short.map((lines) => lines.length);
  const held = Math.max(...lengths) <= most && widest <= 80;
  return `| ${[
    basename(folder),
    report.judgement.verdict,
    report.facts.photos.length,
    toDo(report).tasks.length,
    ...lengths,
    linesOf(report, 80, "all").length,
    most,
    held ? "held" : "MISSED",
  ].join(" | ")} |`;
}

const rows: string[] = [];
for (const folder of positionals) rows.push(row(folder, await audit(folder, { cache: true })));
const text = `# How long the report is

Printed by \`node build/test/evaluate/report-lengths.js FOLDER... --save\`: lines of the report at 80 and at 120 columns, and of
all of it (\`--all\`) at 80.

| set | verdict | photos | things to do | lines at 80 | at 120 | all of it | bar | |
| --- | --- | ---: | ---: | ---: | ---: | ---: | ---: | --- |
${rows.join("\n")}
`;
process.stdout.write(text);
if (values.save) await writeFile(join("docs", "evaluation-report.md"), text);
