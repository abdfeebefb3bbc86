/**
 * Evaluates what is said of the subject on rendered sets with exact masks: region, framing, focus, texture.
 * usage: node build/test/evaluate/subject.js [--faults N] [--save]
 * Measured photos are kept in .cache/evaluate-subject (about a minute a set to make); with them it takes a minute or two.
 */
import { writeFile } from "node:fs/promises";
import { parseArgs } from "node:util";
import type { PlacedFault, SetOptions } from "#goodgate/demo/index.js";
import { gatherFacts } from "./measure-set.js";
import { faultSet, GOOD_SETS, REGION_SETS } from "./subject-region-sets.js";
import { type JudgedSet, judged, subjectMisses, subjectRows, subjectSpreads } from "./subject-score.js";
import { measureSubjectSet, subjectOptions } from "./subject-sets.js";
import { met, renderSection } from "./table.js";

const { values } = parseArgs({
  options: { faults: { type: "string", default: "8" }, save: { type: "boolean", default: false } },
});
const plans: [name: string, change: Partial<SetOptions>, faults: readonly PlacedFault[]][] = [
  ...Object.entries(REGION_SETS).map(([name, change]): (typeof plans)[number] => [name, change, []]),
  ...Object.entries(GOOD_SETS).map(([name, change]): (typeof plans)[number] => [name, change, []]),
  ...Array.from({ length: Number(values.faults) }, (_, i): (typeof plans)[number] => {
    const { change, faults } = faultSet(i + 1);
    return [`faults ${i + 1}`, change, faults];
  }),
];
const sets: JudgedSet[] = [];
for (const [name, change, faults] of plans) {
  const set = await measureSubjectSet(name, subjectOptions(change, faults));
  const { facts, subject } = await gatherFacts(name, set.photos);
  sets.push(judged(set, facts, subject));
  process.stderr.write(`${name}\n`);
}
const rows = subjectRows(sets);
const misses = subjectMisses(sets);
const missed = rows.filter((row) => !met(row)).length;
const table = renderSection({
  title: "The subject",
  about: [
    "Rendered sets of 24 or 30 photos with exact masks: four props, textured or of white plaster (texture contrast 0.6 %), three",
    "rooms, several ways of lighting. Faults: 5 to 12 % of the outline beyond the frame, longest side 20 to 29.5 % of the",
    "frame's short side, subject 2 to 3.5 px out of focus at 1920 px with the background sharp, background 1.5 to 2.5 px out of",
    "focus with the subject sharp, a window three stops over white. Caught: named by the check with `reshoot` or `leave-out`.",
  ].join("\n"),
  rows,
});
process.stdout.write(`${table}\n${misses.join("\n")}\n\n${missed} bars missed\n`);
if (values.save) {
  const lines = [
    "# Evaluation: the subject",
    "",
    "Printed by `node build/test/evaluate/subject.js --save`; see test/evaluate/.",
    "",
    table,
    "Missed faults and accused good photos:",
    "",
    ...(misses.length === 0 ? ["- none"] : misses.map((miss) => `- ${miss}`)),
    "",
    "## Spread of the subject's measures",
    "",
    ...subjectSpreads(sets),
    "",
  ];
  await writeFile("docs/evaluation-subject.md", lines.join("\n"));
}
process.exitCode = missed > 0 ? 1 : 0;
