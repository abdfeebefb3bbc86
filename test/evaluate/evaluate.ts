/**
 * Evaluates the main job on sets with known faults and prints the table of docs/evaluation.md.
 * usage: node build/test/evaluate/evaluate.js [--rendered N] [--warped N] [--fresh] [--save]
 * Measured facts are kept in .cache/evaluate, so that limits can be tried without measuring again; --fresh measures
 * all of them anew. Warped sets need the photographs of test/fetch-test-data.sh ($GOODGATE_TEST_DATA).
 */
import { existsSync } from "node:fs";
import { readFile, rm, writeFile } from "node:fs/promises";
import { availableParallelism } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { Worker } from "node:worker_threads";
import { renderBrackets } from "./brackets.js";
import { type MeasuredSet, solveAgain } from "./measure-set.js";
import { renderTable } from "./score.js";
import { renderSpreads } from "./spreads.js";

const { values } = parseArgs({
  options: {
    rendered: { type: "string", default: "16" },
    warped: { type: "string", default: "16" },
    fresh: { type: "boolean", default: false },
    save: { type: "boolean", default: false },
  },
});
const folder = join(".cache", "evaluate");
const data = [process.env.GOODGATE_TEST_DATA, join(".cache", "test-data")].find(
  (path) => path && existsSync(path),
);
if (data === undefined)
  process.stderr.write("warped sets skipped, no data: run test/fetch-test-data.sh .cache/test-data\n");
const names = [
  ...Array.from({ length: Number(values.rendered) }, (_, i) => `rendered-${i + 1}`),
  ...Array.from({ length: data === undefined ? 0 : Number(values.warped) }, (_, i) => `warped-${i + 1}`),
];
if (values.fresh) await rm(folder, { recursive: true, force: true });
const missing = names.filter((name) => !existsSync(join(folder, `${name}.json`)));
const threads = availableParallelism();
await Promise.all(
  Array.from({ length: threads }, (_, k) => {
    const share = missing.filter((_, i) => i % threads === k);
    return new Promise<void>((resolve, reject) => {
      const worker = new Worker(new URL("./measure-worker.js", import.meta.url), {
        workerData: { names: share, folder, data },
      });
      worker.on("error", reject);
      worker.on("exit", () => resolve());
    });
  }),
);
const sets = await Promise.all(
  names.map(async (name) =>
    solveAgain(JSON.parse(await readFile(join(folder, `${name}.json`), "utf8")) as MeasuredSet),
  ),
);
const brackets = data === undefined ? "" : `\n${await renderBrackets(data)}`;
const text = `${renderTable(sets)}${brackets}\n${renderSpreads(sets)}`;
process.stdout.write(text);
if (values.save) await writeFile(join("docs", "evaluation.md"), text);
