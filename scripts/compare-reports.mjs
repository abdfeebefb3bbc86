// Runs two builds over the same folders and says whether their reports are the same bytes; where not, what differs.
// usage: node scripts/compare-reports.mjs BUILD OTHER-BUILD FOLDER...   (a build is a checkout with its dist/)
import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { join } from "node:path";

const MOST_SHOWN = 12;
const [one, other, ...folders] = process.argv.slice(2);
if (folders.length === 0)
  throw new Error(
    "expected two builds and a folder or more; usage: compare-reports.mjs BUILD OTHER FOLDER...",
  );

/** What a build reports of a folder, measured anew. */
function report(build, folder) {
  const args = [join(build, "bin/goodgate.js"), "check", folder, "--no-cache", "--json"];
  const { status, stdout, stderr } = spawnSync(process.execPath, args, {
    encoding: "utf8",
    maxBuffer: 2 ** 28,
  });
  if (status !== 0 && status !== 1) throw new Error(`${build} ended with ${status}: ${stderr}`);
  return { status, json: stdout };
}

/** Paths at which two documents differ, with both values. */
function* differences(a, b, path = "") {
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) {
    if (a !== b) yield `${path}: ${JSON.stringify(a)} -> ${JSON.stringify(b)}`;
    return;
  }
  for (const key of new Set([...Object.keys(a), ...Object.keys(b)]))
    yield* differences(a[key], b[key], `${path}/${key}`);
}

let same = true;
for (const folder of folders) {
  const [a, b] = [report(one, folder), report(other, folder)];
  if (a.json === b.json && a.status === b.status) {
    const hash = createHash("sha256").update(a.json).digest("hex").slice(0, 12);
    console.log(`${folder}: the same ${a.json.length} bytes (${hash}), exit code ${a.status}`);
    continue;
  }
  same = false;
  const found = [...differences(JSON.parse(a.json), JSON.parse(b.json))];
  console.log(`${folder}: ${found.length} differences, exit codes ${a.status} and ${b.status}`);
  for (const line of found.slice(0, MOST_SHOWN)) console.log(`  ${line}`);
}
process.exitCode = same ? 0 : 1;
