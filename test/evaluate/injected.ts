/**
 * Evaluates the main job on sets with known faults and prints the table of docs/evaluation.md.
 * usage: node build/test/evaluate/evaluate.js [--rendered N] [--warped N] [--fresh] [--save]
 * Measured facts are kept in .cache/evaluate, so that limits can be tried without measuring again; --fresh measures
 * all of them anew. The photos themselves are kept beside them for as long as what makes them stays the same. Warped sets need the photographs of test/fetch-test-data.sh ($GOODGATE_TEST_DATA).
 */
import { createHash } from "node:crypto";
import { existsSync } from "node:fs";
import { readdir, readFile, rm, writeFile } from "node:fs/promises";
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
const photos = await photosFolder();
const threads = availableParallelism();
await Promise.all(
  Array.from({ length: threads }, (_, k) => {
    const share = missing.filter((_, i) => i % threads === k);
    return new Promise<void>((resolve, reject) => {
      const worker = new Worker(new URL("./measure-worker.js", import.meta.url), {
        workerData: { names: share, folder, photos, data },
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

/** Where the photos of these sets lie: named by the code that makes them, so that none is left from another. */
async function photosFolder(): Promise<string> {
  const hash = createHash("sha256");
  const demo = new URL("../../../dist/demo/", import.meta.url);
  const names = await readdir(demo, { recursive: true });
  const code = names.filter((name) => name.endsWith(".js")).sort();
  for (const url of [...code.map((name) => new URL(name, demo)), new URL("./sets.js", import.meta.url)])
    hash.update(await readFile(url));
  return join(".cache", `evaluate-photos-${hash.digest("hex").slice(0, 12)}`);
}
