/**
 * Reads damaged files one after another, in a process of its own, since a fault in a decoder may take it down. Says
 * which case it is at, and what went wrong.
 * usage: node build/test/fuzz/file-cases.js SEED FIRST COUNT
 */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { extname, join } from "node:path";
import type * as photoSteps from "#goodgate/pipeline/photo-steps.js";
import type { PhotoResult } from "#goodgate/pipeline/read-photo.js";
import { type Outcome, Threads } from "#goodgate/runtime/threads.js";
import { seededRandom } from "../support/arrays.js";
import { type Mutated, mutated, type Source } from "./mutations.js";
import { fuzzSources } from "./sources.js";

/** Longest one file may take, ms. */
export const LONGEST_MS = 10_000;
/** A file is read under the name of what it was made from, or of another kind. */
const EXTENSIONS = [".jpg", ".heic", ".png", ".tif", ".webp", ".dng", ".cr3", ".raf"];

/** One case: what is in the file and what it is called, by the seed and the case's number alone. */
export function fileCase(
  sources: readonly Source[],
  seed: number,
  index: number,
): Mutated & { readonly name: string } {
  const random = seededRandom(seed * 1_000_003 + index);
  const made = mutated(sources, random);
  const own = extname(made.how.split(":")[0]);
  const name = `jug${random() < 0.8 ? own : EXTENSIONS[Math.floor(random() * EXTENSIONS.length)]}`;
  return { ...made, name };
}

/** What is wrong with a result, or undefined. */
export function complaint(result: PhotoResult): string | undefined {
  // Control characters must not have come through from a file; `fault` is made safe where it is shown.
  const text = JSON.stringify(result, (key, value) =>
    ["features", "cells", "fault"].includes(key) ? undefined : value,
  );
  if (/\\u00[01]|\\u007f|\\u00[89]/.test(text)) return `control characters in ${text.slice(0, 300)}`;
  if ("facts" in result) {
    if (/:null|NaN|Infinity/.test(JSON.stringify({ ...result.facts, tiles: undefined })))
      return "a measure is not a number";
    return Math.min(result.facts.widthPx, result.facts.heightPx) > 0 ? undefined : "a picture without pixels";
  }
  if ("unreadable" in result && result.unreadable.reason.length < 10) return "no reason given";
  return undefined;
}

function isLate(outcome: Outcome<PhotoResult>): boolean {
  return !outcome.ok && outcome.error.name === "TimeLimitError";
}

async function run(seed: number, first: number, count: number): Promise<void> {
  const sources = await fuzzSources();
  const folder = mkdtempSync(join(tmpdir(), "goodgate-fuzz-"));
  const pool = new Threads<typeof photoSteps>(
    1,
    new URL("../../../dist/pipeline/photo-steps.js", import.meta.url),
  );
  const kept = new URL("../../fuzz-failures/", import.meta.url);
  let [measured, slowestMs] = [0, 0];
  try {
    for (let index = first; index < first + count; index++) {
      console.log(`at ${index}`);
      const { bytes, how, name } = fileCase(sources, seed, index);
      const path = join(folder, name);
      writeFileSync(path, bytes);
      const start = performance.now();
      const read = async () =>
        (await pool.map("readPhoto", [{ file: name, path }], { limitMs: LONGEST_MS }))[0];
      let outcome = await read();
      slowestMs = Math.max(slowestMs, performance.now() - start);
      // What hangs does so every time; what waits for a busy machine does not.
      for (let again = 0; again < 2 && isLate(outcome); again++) outcome = await read();
      const wrong = outcome.ok ? complaint(outcome.value) : outcome.error.message;
      if (outcome.ok && "facts" in outcome.value) measured++;
      if (wrong === undefined) continue;
      mkdirSync(kept, { recursive: true });
      writeFileSync(new URL(`${seed}-${index}-${name}`, kept), bytes);
      console.log(`failed ${JSON.stringify({ index, how, name, wrong })}`);
    }
    console.log(`done ${JSON.stringify({ measured, slowestMs })}`);
  } finally {
    await pool.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

if (process.argv[1]?.endsWith("file-cases.js")) {
  const [seed, first, count] = process.argv.slice(2).map(Number);
  await run(seed, first, count);
}
