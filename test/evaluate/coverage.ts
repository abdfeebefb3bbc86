/**
 * What is said of the way round where the places of the cameras are exact, or off by a known error: gaps named and gaps
 * claimed that are none, closed rings, second rounds. No pictures: the checks are fed directions. The tables are kept in
 * docs/evaluation-coverage.md.
 * usage: node build/test/evaluate/coverage.js [--seeds N] [--save]
 */
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { closedRings } from "./coverage-closed.js";
import { gapsOnTheSphere } from "./coverage-gaps.js";
import { secondRounds } from "./coverage-laid-over.js";
import { met, renderSection } from "./table.js";

const { values } = parseArgs({
  options: { seeds: { type: "string", default: "100" }, save: { type: "boolean", default: false } },
});
const seeds = Number(values.seeds);
const sections = [...gapsOnTheSphere(seeds), closedRings(seeds), secondRounds(seeds)];
const pages = sections.map(renderSection);
console.log(pages.join("\n"));
const missed = sections.flatMap(({ title, rows }) =>
  rows.filter((row) => !met(row)).map(({ what }) => `${title}: ${what}`),
);
console.log(missed.length === 0 ? "All bars held." : `Missed:\n- ${missed.join("\n- ")}`);
if (values.save) {
  const about =
    "# Evaluation of what the photos cover\n\nPrinted by `node build/test/evaluate/coverage.js --save`. Angles in degrees.\n";
  await writeFile(join("docs", "evaluation-coverage.md"), [about, ...pages].join("\n"));
}
process.exitCode = missed.length > 0 ? 1 : 0;
