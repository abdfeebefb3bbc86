/**
 * `npm run demo`: renders the demo set into .cache/demo (used again when seed and version match), audits it, and
 * compares the findings with truth.json. Exits 0 when they are equal, else 1.
 */
import { readFile, rm } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { defaultDemo, demoVersion, planSet, type Truth, writeSet } from "#goodgate/demo/index.js";
import { audit, renderTerminal } from "#goodgate/index.js";
import { differences } from "./expected.js";

const project = fileURLToPath(new URL("../../../", import.meta.url));
const folder = join(project, ".cache", "demo");

async function readTruth(): Promise<Truth | undefined> {
  try {
    return JSON.parse(await readFile(join(folder, "truth.json"), "utf8"));
  } catch {
    return undefined;
  }
}

let truth = await readTruth();
if (truth?.seed !== defaultDemo.seed || truth.version !== demoVersion) {
  console.log("Making the demo set: photos of a stoneware jug, with faults put in ...");
  await rm(folder, { recursive: true, force: true });
  await writeSet(planSet(defaultDemo), folder);
  truth = (await readTruth())!;
}
console.log("$ goodgate check .cache/demo\n");
const report = await audit(folder);
const { columns = 80, isTTY = false } = process.stdout;
process.stdout.write(
  renderTerminal(report, { columns, colour: isTTY && process.env.NO_COLOR === undefined }),
);
const pass = report.judgement.verdict === "pass";
console.log(`\nA script would see exit code ${pass ? 0 : 1} here (0 pass, 1 reshoot, 2 could not judge).`);
const different = differences(report.judgement.findings, truth);
if (different.length === 0)
  console.log("The findings equal truth.json: every fault that was put in, and nothing else.");
else console.log(`The findings differ from truth.json:\n${different.map((line) => `  ${line}`).join("\n")}`);
process.exitCode = different.length === 0 ? 0 : 1;
