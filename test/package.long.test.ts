import { execFileSync, spawnSync } from "node:child_process";
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { basename, dirname, extname, join, resolve } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { renderedSet } from "./support/rendered.js";

/** As a fresh clone has it: what git knows, and what it would take in. */
let clone: string;
let root: string;
/** An empty folder into which the packed file was installed. */
let consumer: string;
let photos: string;

const run = (
  command: string,
  args: readonly string[],
  cwd: string,
  env: Record<string, string> = {},
): string =>
  execFileSync(command, args, {
    cwd,
    encoding: "utf8",
    env: { ...process.env, ...env },
    stdio: ["ignore", "pipe", "pipe"],
  });
const npm = (args: readonly string[], cwd: string, env: Record<string, string> = {}): string =>
  run("npm", ["--silent", "--prefer-offline", "--no-audit", "--no-fund", ...args], cwd, env);
const goodgate = (program: string, ...args: string[]) => {
  const { status, stdout, stderr } = spawnSync(program, args, { encoding: "utf8" });
  return { status, stdout, stderr };
};

beforeAll(async () => {
  root = mkdtempSync(join(tmpdir(), "goodgate-package-"));
  clone = join(root, "clone");
  consumer = join(root, "empty");
  photos = join(root, "jug");
  for (const folder of [clone, consumer, photos]) mkdirSync(folder);
  const files = execFileSync("git", ["ls-files", "--cached", "--others", "--exclude-standard"], {
    encoding: "utf8",
  });
  for (const file of new Set(files.trim().split("\n"))) {
    if (!existsSync(file)) continue;
    mkdirSync(join(clone, dirname(file)), { recursive: true });
    cpSync(file, join(clone, file));
  }
  const ring = { elevationDeg: 20, photos: 6, startDeg: 0, spanDeg: 60 };
  for (const photo of (await renderedSet({ rings: [ring] })).slice(0, 3))
    cpSync(photo, join(photos, basename(photo)));
  npm(["ci"], clone);
}, 300_000);
afterAll(() => rmSync(root, { recursive: true, force: true }));

describe("a fresh clone, with npm ci and nothing else", () => {
  test("is there to be typed anywhere after npm link", () => {
    const prefix = join(root, "linked");
    npm(["link"], clone, { npm_config_prefix: prefix });
    const { version } = JSON.parse(readFileSync("package.json", "utf8"));
    expect(goodgate(join(prefix, "bin/goodgate"), "--version")).toEqual({
      status: 0,
      stdout: `goodgate ${version}\n`,
      stderr: "",
    });
  }, 120_000);
});

describe("the packed file", () => {
  let packed: string;
  beforeAll(() => {
    const name = npm(["pack", "--pack-destination", root], clone).trim().split("\n").at(-1)!;
    packed = join(root, name);
    npm(["install", packed], consumer);
  }, 300_000);

  test("holds the program, its types and what the README leads to, and nothing else", () => {
    const folder = join(consumer, "node_modules/goodgate");
    const held = readdirSync(folder, { recursive: true, encoding: "utf8" }).filter((name) =>
      statSync(join(folder, name)).isFile(),
    );
    const outside = held.filter((name) => !name.startsWith("dist/")).sort();
    const linked = [...readFileSync("README.md", "utf8").matchAll(/\]\((docs\/[^)#]+)/g)].map(
      ([, file]) => file!,
    );
    expect(outside).toEqual(
      [
        ...["LICENSE", "README.md", "bin/goodgate.js", "docs/report.schema.json", "package.json"],
        ...new Set(linked),
      ].sort(),
    );
    const kinds = held
      .filter((name) => name.startsWith("dist/"))
      .map((name) => (name.endsWith(".d.ts") ? ".d.ts" : extname(name) || basename(name)));
    expect([...new Set(kinds)].sort()).toEqual([".d.ts", ".js", ".txt", ".wasm", "build-id"]);
  });

  test("installed for all folders, judges photos as the clone does", () => {
    const prefix = join(root, "global");
    npm(["install", "--global", packed], root, { npm_config_prefix: prefix });
    const args = ["check", photos, "--json", "--no-cache"];
    const installed = goodgate(join(prefix, "bin/goodgate"), ...args);
    expect([installed.status, installed.stderr]).toEqual([1, ""]);
    expect(installed).toEqual(goodgate(process.execPath, "bin/goodgate.js", ...args));
    npm(["uninstall", "--global", "goodgate"], root, { npm_config_prefix: prefix });
    expect(existsSync(join(prefix, "bin/goodgate"))).toBe(false);
  }, 300_000);

  test("is a library with types", () => {
    writeFileSync(
      join(consumer, "gate.mts"),
      `import { audit, defaultLimits, type Facts, factsFromJson, judge, renderJson, type Report } from "goodgate";
const report: Report = await audit(${JSON.stringify(photos)}, { jobs: 1 });
const facts: Facts = factsFromJson(JSON.parse(renderJson(report)));
const again: string[] = judge(facts, defaultLimits).findings.map((finding) => finding.check);
// @ts-expect-error a report has no such part
report.jug;
console.log(again.join(" "));
`,
    );
    const node = ["--types", "node", "--typeRoots", resolve("node_modules/@types")];
    const strict = ["--strict", "--module", "nodenext", "--target", "es2022", ...node];
    run(process.execPath, [resolve("node_modules/typescript/bin/tsc"), ...strict, "gate.mts"], consumer);
    const said = run(process.execPath, ["gate.mjs"], consumer, { GOODGATE_CACHE: join(root, "cache") });
    expect(said.trim().split(" ")).toContain("too-few-photos");
  }, 120_000);
});
