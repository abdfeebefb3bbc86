/**
 * Whether following the report leads to a pass: a line a set, and how many needed how many rounds.
 * usage: npm run evaluate -- closure [--sets N] [--from SEED]
 */
import { parseArgs } from "node:util";
import { closureOf } from "./gate-closure.js";

const { values } = parseArgs({
  args: process.argv.slice(3),
  options: { sets: { type: "string", default: "60" }, from: { type: "string", default: "0" } },
});
const from = Number(values.from);
process.stdout.write(
  "| set | faults | verdicts | turned against | not to be followed |\n| ---: | --- | --- | --- | --- |\n",
);
const rounds: number[] = [];
for (let seed = from; seed < from + Number(values.sets); seed++) {
  const { faults, verdicts, turnedAgainst, unclear } = await closureOf(seed);
  rounds.push(verdicts.at(-1) === "pass" ? verdicts.length - 1 : Number.POSITIVE_INFINITY);
  const cells = [seed, faults.join(", "), verdicts.join(", "), turnedAgainst.join(", "), unclear.join(" ")];
  process.stdout.write(`| ${cells.join(" | ")} |\n`);
}
const within = (most: number) => rounds.filter((count) => count <= most).length;
process.stdout.write(
  `\n${within(2)} of ${rounds.length} pass after two rounds at the most, ${within(3)} after three.\n`,
);
