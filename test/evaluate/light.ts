/**
 * Measures the light of rendered sets against exact truth, and prints each figure beside its bar. The tables are kept
 * in docs/evaluation-light.md; drawn and measured photos in .cache/evaluate-light, some minutes a ring.
 * usage: node build/test/evaluate/light.js [--rings N] [--save]
 */
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { brightnessSection, wholeSections } from "./light-score.js";
import { type MeasuredRing, measuredRing } from "./light-sets.js";
import { met, renderSection } from "./table.js";

const { values } = parseArgs({
  options: { rings: { type: "string", default: "4" }, save: { type: "boolean", default: false } },
});
const props = ["jug", "toad", "trunk", "lamp"] as const;
const rings: MeasuredRing[] = [];
for (let k = 0; k < Number(values.rings); k++) {
  rings.push(await measuredRing(props[k % 4], k + 1, join(".cache", "evaluate-light")));
}
const sections = [brightnessSection(rings), ...wholeSections(rings)];
for (const section of sections) console.log(renderSection(section));
const missed = sections.flatMap(({ title, rows }) =>
  rows.filter((row) => !met(row)).map(({ what }) => `${title}: ${what}`),
);
console.log(missed.length === 0 ? "All bars held." : `Missed:\n- ${missed.join("\n- ")}`);
if (values.save) {
  const about = `# Evaluation of the light\n\nPrinted by \`node build/test/evaluate/light.js --rings ${values.rings} --save\`. Stops are of linear light.\n`;
  await writeFile(join("docs", "evaluation-light.md"), [about, ...sections.map(renderSection)].join("\n"));
}
process.exitCode = missed.length > 0 ? 1 : 0;
