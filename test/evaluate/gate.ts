/**
 * Holds the verdict against sets that must not pass and sets that must, and prints the table of docs/evaluation-gate.md.
 * usage: npm run evaluate -- gate [--captures DIR] [--only WORD,...] [--clean N] [--fresh] [--kept] [--measured] [--save]
 * What was measured on a set is kept in .cache/gate under the build that measured it; --fresh measures anew, --kept
 * takes what any build measured, so that limits can be tried in seconds; --measured leaves out what none has.
 */
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { judge } from "#goodgate/checks/index.js";
import type { Facts } from "#goodgate/types/facts.js";
import type { Judgement } from "#goodgate/types/judgement.js";
import { factsOf, isMeasured } from "./gate-facts.js";
import { firstLine } from "./gate-first-line.js";
import { cleanSets, type GateSet, gateSets, type Sources } from "./gate-sets.js";

interface Outcome {
  readonly set: GateSet;
  readonly verdict: string;
  readonly first: string;
  readonly right: boolean;
}

const { values } = parseArgs({
  args: process.argv.slice(3),
  options: {
    captures: { type: "string" },
    only: { type: "string" },
    clean: { type: "string", default: "100" },
    fresh: { type: "boolean", default: false },
    kept: { type: "boolean", default: false },
    measured: { type: "boolean", default: false },
    save: { type: "boolean", default: false },
    cache: { type: "string", default: join(".cache", "gate") },
  },
});
const sources: Sources = {
  cache: values.cache,
  ...(values.captures !== undefined && { captures: values.captures }),
};
const all = [...gateSets(sources), ...cleanSets(sources).slice(0, Number(values.clean))];
const words = values.only?.split(",");
const sets = inTurns(all).filter(
  (set) =>
    (words === undefined || words.some((word) => `${set.group}: ${set.name}`.includes(word))) &&
    (!values.measured || isMeasured(set, values.cache)),
);
const outcomes: Outcome[] = [];
for (const set of sets) {
  const facts = await factsOf(set, values.cache, values);
  const outcome = outcomeOf(set, facts);
  outcomes.push(outcome);
  process.stderr.write(
    `${outcome.right ? "      " : "WRONG "}${outcome.verdict.padEnd(12)}${set.group}: ${set.name} | ${outcome.first}\n`,
  );
}
const text = table(outcomes);
process.stdout.write(text);
if (values.save) await writeFile(join("docs", "evaluation-gate.md"), text);

/** One of each group, then the second of each, so that a run cut short has seen something of all. */
function inTurns(sets: readonly GateSet[]): GateSet[] {
  const turn = new Map(
    sets.map((set) => [set, sets.filter(({ group }) => group === set.group).indexOf(set)]),
  );
  return sets.toSorted((a, b) => turn.get(a)! - turn.get(b)!);
}

function outcomeOf(set: GateSet, facts: Facts): Outcome {
  const judgement = judge(facts);
  const first = firstLine(facts, judgement);
  const right =
    set.says === undefined
      ? judgement.verdict === "pass"
      : judgement.verdict !== "pass" && set.says.test(first);
  return { set, verdict: judgement.verdict, first, right };
}

function table(outcomes: readonly Outcome[]): string {
  const bad = outcomes.filter(({ set }) => set.says !== undefined);
  const clean = outcomes.filter(({ set }) => set.says === undefined);
  const count = (of: readonly Outcome[], verdict: Judgement["verdict"]) =>
    of.filter((one) => one.verdict === verdict).length;
  const groups = [...new Set(bad.map(({ set }) => set.group))];
  const rows = groups.map((group) => {
    const own = bad.filter(({ set }) => set.group === group);
    const passed = count(own, "pass");
    const told = own.filter(({ right }) => right).length;
    return `| ${group} | ${own.length} | ${passed} | ${told} |`;
  });
  const each = bad.map(
    ({ set, verdict, first, right }) =>
      `| ${set.group} | ${set.name} | ${verdict} | ${right ? "" : "no: "}${first.replaceAll("|", "/")} |`,
  );
  const failed = clean.filter(({ verdict }) => verdict !== "pass");
  return `${[
    "# The verdict on sets made to fail, and on clean ones",
    "",
    `\`npm run evaluate -- gate\` makes 171 sets that must not pass and 100 clean ones; this page holds ${outcomes.length} of them. ${bad.length} sets that must not pass: ${count(bad, "pass")} pass, ${bad.filter(({ right }) => right).length} say first what they are. ${clean.length} clean rendered sets: ${failed.length} do not pass.`,
    "",
    "| sets | number | pass | first line right |",
    "| --- | ---: | ---: | ---: |",
    ...rows,
    "",
    "## Clean sets that do not pass",
    "",
    ...(failed.length === 0
      ? ["None."]
      : failed.map(({ set, verdict, first }) => `- ${set.name}: ${verdict}. ${first}`)),
    "",
    "## Each set",
    "",
    "| group | set | verdict | first line |",
    "| --- | --- | --- | --- |",
    ...each,
  ].join("\n")}\n`;
}
