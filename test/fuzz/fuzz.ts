/**
 * Damages real photos and folders in thousands of ways and holds that nothing crashes, hangs or ends with another exit
 * code than 0, 1 or 2. The same seed makes the same cases; files that failed are kept in build/fuzz-failures.
 *
 * usage: node build/test/fuzz/fuzz.js [--seed N] [--first N] [--cases N] [--folders N] [--minutes N]
 */
import { spawn } from "node:child_process";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { folderCase } from "./folder-case.js";
import { fuzzSources } from "./sources.js";

const CHILD = fileURLToPath(new URL("file-cases.js", import.meta.url));
const BATCH = 500;

export interface FuzzOptions {
  readonly seed: number;
  readonly first: number;
  /** Damaged files. */
  readonly cases: number;
  /** Folders of damaged and odd things, each a whole run of the program. */
  readonly folders: number;
  /** Stops after this time, done or not. */
  readonly minutes: number;
}

export interface FuzzResult {
  readonly cases: number;
  readonly folders: number;
  /** How many damaged files could be measured all the same. */
  readonly measured: number;
  readonly slowestMs: number;
  readonly failures: readonly string[];
}

export async function fuzz(
  options: FuzzOptions,
  say: (line: string) => void = () => {},
): Promise<FuzzResult> {
  const end = performance.now() + options.minutes * 60_000;
  const failures: string[] = [];
  let [cases, measured, slowestMs, folders] = [0, 0, 0, 0];
  const sources = await fuzzSources();
  const wantedFolders = (done: number): number =>
    Math.floor((options.folders * done) / Math.max(1, options.cases));
  while (cases < options.cases && performance.now() < end) {
    const count = Math.min(BATCH, options.cases - cases);
    const batch = await fileBatch(options.seed, options.first + cases, count);
    failures.push(...batch.failures);
    cases += batch.done;
    measured += batch.measured;
    slowestMs = Math.max(slowestMs, batch.slowestMs);
    for (; folders < wantedFolders(cases) && performance.now() < end; folders++) {
      const { wrong } = await folderCase(sources, options.seed, options.first + folders);
      failures.push(...wrong.map((what) => `folder ${options.first + folders}: ${what}`));
    }
    say(`${cases} files, ${folders} folders, ${failures.length} failures`);
  }
  return { cases, folders, measured, slowestMs, failures };
}

interface Batch {
  readonly done: number;
  readonly measured: number;
  readonly slowestMs: number;
  readonly failures: string[];
}

/** Runs cases in a child; where it dies, that is a failure of the case it was at, and the batch ends there. */
function fileBatch(seed: number, first: number, count: number): Promise<Batch> {
  return new Promise((resolve) => {
    const child = spawn(process.execPath, [CHILD, String(seed), String(first), String(count)], {
      stdio: ["ignore", "pipe", "pipe"],
    });
    let [out, err] = ["", ""];
    child.stdout.setEncoding("utf8").on("data", (text: string) => {
      out += text;
    });
    child.stderr.setEncoding("utf8").on("data", (text: string) => {
      err = (err + text).slice(-2000);
    });
    child.on("close", (code, signal) => {
      const failures = [...out.matchAll(/^failed (.*)$/gm)].map(([, text]) => text);
      const end = /^done (.*)$/m.exec(out);
      if (end !== null && code === 0) {
        const { measured, slowestMs } = JSON.parse(end[1]) as Pick<Batch, "measured" | "slowestMs">;
        return resolve({ done: count, measured, slowestMs, failures });
      }
      const at = Number([...out.matchAll(/^at (\d+)$/gm)].at(-1)?.[1] ?? first);
      failures.push(`${at}: the process ended with code ${code}, signal ${signal}: ${err}`);
      resolve({ done: at - first + 1, measured: 0, slowestMs: 0, failures });
    });
  });
}

if (process.argv[1]?.endsWith("fuzz.js")) {
  const { values } = parseArgs({
    options: {
      seed: { type: "string", default: "1" },
      first: { type: "string", default: "0" },
      cases: { type: "string", default: "20000" },
      folders: { type: "string", default: "200" },
      minutes: { type: "string", default: "60" },
    },
  });
  const start = performance.now();
  const result = await fuzz(
    {
      seed: Number(values.seed),
      first: Number(values.first),
      cases: Number(values.cases),
      folders: Number(values.folders),
      minutes: Number(values.minutes),
    },
    (line) => console.error(line),
  );
  for (const failure of result.failures) console.log(failure);
  const minutes = ((performance.now() - start) / 60_000).toFixed(1);
  console.log(
    `seed ${values.seed}: ${result.cases} damaged files (${result.measured} measured all the same, slowest ${result.slowestMs.toFixed(0)} ms), ` +
      `${result.folders} folders, ${result.failures.length} failures, ${minutes} minutes`,
  );
  process.exitCode = result.failures.length > 0 ? 1 : 0;
}
