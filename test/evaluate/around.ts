/**
 * Measures every figure of the geometry around the subject against exact truth, and prints each beside its bar. The
 * tables are kept in docs/evaluation-around.md.
 * usage: node build/test/evaluate/around.js [--seeds N] [--only WORD [--plan WORDS]] [--fresh] [--save]
 * Keypoints of rendered sets are kept in .cache/evaluate-around; --fresh makes them anew. Real photographs are those of
 * test/fetch-test-data.sh ($GOODGATE_TEST_DATA).
 */
import { existsSync } from "node:fs";
import { readFile, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { boards, stereoPairs } from "./around-boards.js";
import { kinds } from "./around-kinds.js";
import { renderedSets } from "./around-rendered.js";
import { speed } from "./around-speed.js";
import { turnedSubjects } from "./around-turned.js";
import { standingStill, twoViews } from "./around-two-views.js";
import { lenses, wholeSets } from "./around-whole-sets.js";
import { keypointYield } from "./keypoint-yield.js";
import { met, renderSection, type Section } from "./table.js";

const { values } = parseArgs({
  options: {
    seeds: { type: "string", default: "5" },
    only: { type: "string" },
    plan: { type: "string" },
    fresh: { type: "boolean", default: false },
    save: { type: "boolean", default: false },
  },
});
const seeds = Number(values.seeds);
const cache = join(".cache", "evaluate-around");
if (values.fresh) await rm(cache, { recursive: true, force: true });
const data = [process.env.GOODGATE_TEST_DATA, join(".cache", "test-data")].find(
  (path) => path && existsSync(path),
);
const parts: Readonly<Record<string, () => Promise<Section[]> | Section[]>> = {
  speed: () => [speed()],
  "two-views": () => [twoViews(8 * seeds)],
  still: () => [standingStill(8 * seeds)],
  sets: () => wholeSets(seeds),
  lenses: () => [lenses(seeds)],
  turned: () => [turnedSubjects(4 * seeds)],
  rendered: () => renderedSets(cache),
  kinds: () => kinds(seeds, values.plan),
  boards: () => [boards()],
  stereo: () => withData("stereo pairs", stereoPairs(data)),
  matches: () => withData("matches", keypointYield(data)),
};

async function withData(name: string, measured: Promise<Section | undefined>): Promise<Section[]> {
  const section = await measured;
  if (!section) process.stderr.write(`${name} skipped, no data: run test/fetch-test-data.sh\n`);
  return section ? [section] : [];
}

const sections: Section[] = [];
for (const [name, run] of Object.entries(parts)) {
  if (values.only !== undefined && values.only !== name) continue;
  const found = await run();
  sections.push(...found);
  for (const section of found) console.log(renderSection(section));
}
const missed = sections.flatMap(({ title, rows }) =>
  rows.filter((row) => !met(row)).map(({ what }) => `${title}: ${what}`),
);
console.log(missed.length === 0 ? "All bars held." : `Missed:\n- ${missed.join("\n- ")}`);
if (values.save) await save(sections);
process.exitCode = missed.length > 0 ? 1 : 0;

/** Sections that were not measured this time stay as they are. */
async function save(measured: readonly Section[]): Promise<void> {
  const path = join("docs", "evaluation-around.md");
  const about =
    "# Evaluation of the geometry around the subject\n\nPrinted by `node build/test/evaluate/around.js --save`. Angles in degrees.\n";
  const kept = existsSync(path) && values.only !== undefined ? await readFile(path, "utf8") : about;
  const [head, ...texts] = kept.split(/^(?=## )/m);
  for (const section of measured) {
    const text = `${renderSection(section)}\n`;
    const at = texts.findIndex((one) => one.startsWith(`## ${section.title}\n`));
    if (at < 0) texts.push(text);
    else texts[at] = text;
  }
  await writeFile(path, `${[head.trimEnd(), ...texts.map((text) => text.trimEnd())].join("\n\n")}\n`);
}
