import { mkdir, rename, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { workerData } from "node:worker_threads";
import { measureSet } from "./measure-set.js";
import { realBases, renderedSet, warpedSet } from "./sets.js";

/** One thread of the evaluation: measures its share of the sets and leaves each as a file. */
const { names, folder, photos, data } = workerData as {
  names: readonly string[];
  folder: string;
  /** Where the sets' photos are kept, a folder a set. */
  photos: string;
  data: string | undefined;
};
const bases = data === undefined ? [] : realBases(data);
await mkdir(folder, { recursive: true });
for (const name of names) {
  const [origin, seed] = name.split("-");
  const set = origin === "rendered" ? renderedSet(Number(seed)) : await warpedSet(Number(seed), bases);
  const target = join(folder, `${name}.json`);
  await writeFile(`${target}.partial`, JSON.stringify(await measureSet(set, join(photos, name))));
  await rename(`${target}.partial`, target);
  process.stderr.write(`${name} measured\n`);
}
