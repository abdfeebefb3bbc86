import { execFile, execFileSync } from "node:child_process";
import { chmodSync, mkdirSync, mkdtempSync, readdirSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { ReportDocument } from "#goodgate/report/json.js";
import { seededRandom } from "../support/arrays.js";
import { mutated, type Random, type Source } from "./mutations.js";

const GOODGATE = fileURLToPath(new URL("../../../bin/goodgate.js", import.meta.url));
/** Longest one whole run may take, ms: a handful of small files, and the program's own start. */
const LONGEST_MS = 60_000;

const oneOf = <T>(list: readonly T[], random: Random): T => list[Math.floor(random() * list.length)];

/** Names that programs trip over; every one of them may stand in a folder on Linux. */
const STEMS = [
  "jug",
  "jug 1",
  "кувшин",
  "陶器",
  "إبريق",
  "cruche é",
  "cruche é",
  "🏺",
  "-rf",
  "--json",
  "a\nb",
  "red \u001b[31m",
  "turned \u202egpj",
  "'quoted' \"twice\" $(x) `y`",
  "%s%n",
  "x".repeat(240),
  "CON",
  "...",
  "__proto__",
  "constructor",
];
const ENDINGS = [".jpg", ".JPG", ".heic", ".png", ".dng", ".tif", ".webp", ".mov", ".aae", ".txt", ""];

/** Makes a folder of damaged and odd things. */
function makeFolder(folder: string, sources: readonly Source[], random: Random): void {
  const put = (inside: string, depth: number): void => {
    for (let n = Math.floor(random() * 7); n > 0; n--) {
      const path = join(inside, `${oneOf(STEMS, random)}${oneOf(ENDINGS, random)}`);
      try {
        make(path, random() < 0.75 ? 0 : Math.floor(random() * 7), depth);
      } catch (error) {
        // A name that is there already, or too long.
        const { code } = error as { code?: string };
        if (!["EEXIST", "EISDIR", "ENAMETOOLONG", "EACCES", "ENXIO", "ELOOP"].includes(code ?? ""))
          throw error;
      }
    }
  };
  const make = (path: string, kind: number, depth: number): void => {
    // A name may be drawn twice, and writing to a pipe that is there would wait for ever.
    const write = (bytes: Uint8Array | string): void => writeFileSync(path, bytes, { flag: "wx" });
    if (kind === 0) write(random() < 0.3 ? oneOf(sources, random).bytes : mutated(sources, random).bytes);
    else if (kind === 1) symlinkSync(oneOf(["jug.jpg", "gone.jpg", ".", "..", path], random), path);
    else if (kind === 2) write("");
    else if (kind === 3) {
      write("closed");
      chmodSync(path, 0);
    } else if (kind === 4) execFileSync("mkfifo", ["--", path], { stdio: "ignore" });
    else if (depth <= 3) {
      mkdirSync(path);
      put(path, depth + 1);
    }
  };
  put(folder, 0);
}

export interface FolderOutcome {
  readonly exitCode: number;
  /** What is wrong; empty where nothing is. */
  readonly wrong: readonly string[];
}

/** Makes one folder from the seed and the case's number, checks it with the program as a user would, removes it. */
export async function folderCase(
  sources: readonly Source[],
  seed: number,
  index: number,
): Promise<FolderOutcome> {
  const random = seededRandom(seed * 7_000_003 + index);
  const root = mkdtempSync(join(tmpdir(), "goodgate-fuzz-"));
  try {
    // A link to the folder above must not lead to what the run itself keeps.
    const folder = join(root, "above", "set");
    mkdirSync(folder, { recursive: true });
    makeFolder(folder, sources, random);
    const options = [
      ...(random() < 0.5 ? ["--recursive"] : []),
      ...(random() < 0.5 ? ["--json"] : []),
      ...(random() < 0.2 ? ["--quiet"] : []),
    ];
    const before = listed(folder);
    const kept = { GOODGATE_CACHE: join(root, "cache"), TMPDIR: join(root, "temporary") };
    mkdirSync(kept.TMPDIR);
    const { exitCode, signal, out, err } = await run(folder, options, kept);
    const wrong: string[] = [];
    if (signal !== null) wrong.push(`ended by ${signal}`);
    if (![0, 1, 2].includes(exitCode)) wrong.push(`exit code ${exitCode}`);
    if (/A fault of the program/.test(err)) wrong.push(err.slice(0, 300));
    if (exitCode === 2 && err === "") wrong.push("exit code 2 without a word");
    // Nothing but line breaks may move the cursor, and nothing may turn the reading direction.
    // The short list for scripts has two tabs in each line, its own.
    const printed = options.includes("--quiet") ? out.replace(/^([^\t\n]*)\t([^\t\n]*)\t/gm, "$1 $2 ") : out;
    const control = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/;
    if (control.test(printed + err)) wrong.push("control characters printed");
    if (options.includes("--json") && exitCode < 2) wrong.push(...reportComplaints(out));
    if (readdirSync(kept.TMPDIR).length > 0) wrong.push("a temporary file was left");
    if (listed(folder) !== before) wrong.push("the folder was changed");
    return { exitCode, wrong };
  } finally {
    rmSync(root, { recursive: true, force: true });
  }
}

function reportComplaints(out: string): string[] {
  try {
    const report = JSON.parse(out) as ReportDocument;
    const named = [...report.photos, ...report.unreadable, ...report.unsupported].map(({ file }) => file);
    return new Set(named).size === named.length ? [] : ["a file is named twice"];
  } catch (error) {
    return [`no JSON: ${(error as Error).message}`];
  }
}

function listed(folder: string): string {
  return readdirSync(folder, { recursive: true, encoding: "utf8" }).sort().join("\n");
}

function run(
  folder: string,
  options: readonly string[],
  kept: Readonly<Record<string, string>>,
): Promise<{ exitCode: number; signal: string | null; out: string; err: string }> {
  const { FORCE_COLOR: _, NO_COLOR: __, ...env } = process.env;
  return new Promise((resolve) => {
    execFile(
      process.execPath,
      [GOODGATE, "check", folder, "--jobs", "1", ...options],
      { env: { ...env, ...kept }, maxBuffer: 1 << 27, timeout: LONGEST_MS, killSignal: "SIGKILL" },
      (error, out, err) => {
        const exitCode = error === null ? 0 : typeof error.code === "number" ? error.code : -1;
        resolve({ exitCode, signal: error?.signal ?? null, out, err });
      },
    );
  });
}
