/**
 * Audits real captures whose truth lies beside them, and prints what came of it against that truth.
 * usage: node build/test/evaluate/evaluate.js captures FOLDER [NAME ...] [--save FILE] [--jobs N]
 * FOLDER holds a folder of photos NAME for each NAME.truth.json (see captures/truth.ts), and may hold NAME.labels.json.
 * What is measured is kept in the user's cache folder, so that a change of checks is tried in seconds.
 */
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { audit } from "#goodgate/pipeline/audit.js";
import { directions } from "./captures/directions.js";
import { claimedGaps, gaps } from "./captures/gaps.js";
import { edgeSpread, labels } from "./captures/labels.js";
import { type Capture, renderTopic, type Topic } from "./captures/topic.js";
import { readTruths } from "./captures/truth.js";

/** Each is a table of its own, with a line a capture (or more). */
const TOPICS: readonly Topic[] = [directions, gaps, claimedGaps, labels, edgeSpread];

const { values, positionals } = parseArgs({
  args: process.argv.slice(3),
  allowPositionals: true,
  options: { save: { type: "string" }, jobs: { type: "string" } },
});
const [folder, ...names] = positionals;
if (folder === undefined) {
  process.stderr.write("expected a folder of captures, found none: evaluate captures FOLDER [NAME ...]\n");
  process.exit(2);
}
const truths = (await readTruths(folder)).filter(({ name }) => names.length === 0 || names.includes(name));
const captures: Capture[] = [];
for (const truth of truths) {
  const started = performance.now();
  const jobs = values.jobs === undefined ? {} : { jobs: Number(values.jobs) };
  const report = await audit(join(folder, truth.name), { cache: true, ...jobs });
  process.stderr.write(`${truth.name}: ${((performance.now() - started) / 1000).toFixed(1)} s\n`);
  captures.push({ truth, report });
}
const text = TOPICS.map((topic) => renderTopic(topic, captures)).join("\n");
process.stdout.write(text);
if (values.save !== undefined) await writeFile(values.save, text);
