/**
 * Measures the light of rendered sets against exact truth, and prints each figure beside its bar. The tables are kept
 * in docs/evaluation-light.md; drawn and measured photos in .cache/evaluate-light, some minutes a ring. `--only clean` renews
 * the one section that needs no ring.
 * usage: node build/test/evaluate/light.js [--rings N] [--only clean] [--save]
 */
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { cleanSection } from "./light-clean.js";
import { brightnessSection, wholeSections } from "./light-score.js";
import { type MeasuredRing, measuredRing } from "./light-sets.js";
import { met, renderSection } from "./table.js";

const { values } = parseArgs({
  options: {
    rings: { type: "string", default: "4" },
    only: { type: "string" },
    save: { type: "boolean", default: false },
  },
});
const page = join("docs", "evaluation-light.md");
const props = ["jug", "toad", "trunk", "lamp"] as const;

async function ringSections() {
  const rings: MeasuredRing[] = [];
  for (let k = 0; k < Number(values.rings); k++) {
    rings.push(await measuredRing(props[k % 4], k + 1, join(".cache", "evaluate-light")));
  }
  return [brightnessSection(rings), ...wholeSections(rings)];
}

const clean = await cleanSection();
const sections = values.only === "clean" ? [clean] : [...(await ringSections()), clean];
for (const section of sections) console.log(renderSection(section));
const missed = sections.flatMap(({ title, rows }) =>
  rows.filter((row) => !met(row)).map(({ what }) => `${title}: ${what}`),
);
console.log(missed.length === 0 ? "All bars held." : `Missed:\n- ${missed.join("\n- ")}`);
if (values.save) {
  const about = `# Evaluation of the light\n\nPrinted by \`node build/test/evaluate/light.js --rings ${values.rings} --save\`. Stops are of linear light.\n`;
  // The clean sets stand last.
  const before =
    values.only === "clean"
      ? (await readFile(page, "utf8")).split(`\n## ${clean.title}`)[0].trimEnd()
      : [about, ...sections.slice(0, -1).map(renderSection)].join("\n").trimEnd();
  await writeFile(page, `${before}\n\n${renderSection(clean)}`);
}
process.exitCode = missed.length > 0 ? 1 : 0;
