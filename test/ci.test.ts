import { execFileSync, spawnSync } from "node:child_process";
import { cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { delimiter, join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";

/** Stands in for npm: fails what FAILS names, counts tests, and generates docs/checks.md from GENERATED. */
const NPM = `#!/bin/sh
echo "npm $*"
count() {
  mkdir -p build
  echo '{"numPassedTests": '$2', "numFailedTests": 0, "numPendingTests": '$3'}' >build/$1.json
}
case "$*" in
  "$FAILS") exit 1 ;;
  test) count test-results 7 2 ;;
  "run test:long") count test-results-long 3 1 ;;
  "run generate") echo "$GENERATED" >docs/checks.md ;;
esac
`;
/** Stands in for what fetches the tests' data. */
const FETCH = 'mkdir -p "$1/deb"\n';
/** Stands in for the runs on other versions of Node. */
const NODES = 'echo "$*" >.cache/nodes; exit "$NODES_CODE"\n';

let clone: string;
beforeEach(() => {
  clone = mkdtempSync(join(tmpdir(), "goodgate-ci-"));
  for (const name of [".ci", "bin", "docs", "test"]) mkdirSync(join(clone, name));
  cpSync(".ci/run", join(clone, ".ci/run"));
  for (const name of ["npm", "exiftool", "chromium"])
    writeFileSync(join(clone, "bin", name), NPM, { mode: 0o755 });
  writeFileSync(join(clone, "test/fetch-test-data.sh"), FETCH);
  writeFileSync(join(clone, "test/other-nodes.sh"), NODES);
  writeFileSync(join(clone, "docs/checks.md"), "jug\n");
  writeFileSync(join(clone, ".gitignore"), "build/\n.cache/\n");
  git("init", "--quiet");
  git("add", "--all");
  git("-c", "user.name=Stage", "-c", "user.email=stage@example.org", "commit", "--quiet", "--message", "Jug");
});
afterEach(() => rmSync(clone, { recursive: true, force: true }));

const git = (...args: string[]) => execFileSync("git", args, { cwd: clone, encoding: "utf8" });

function ci(env: Readonly<Record<string, string>> = {}) {
  const PATH = [join(clone, "bin"), process.env.PATH].join(delimiter);
  const { status, stdout } = spawnSync("bash", [".ci/run"], {
    cwd: clone,
    encoding: "utf8",
    env: { ...process.env, CI: "", FAILS: "", NODES_CODE: "0", GENERATED: "jug", ...env, PATH },
  });
  return { status, last: stdout.trimEnd().split("\n").at(-1) };
}

describe(".ci/run", () => {
  test("passes, ends with the counts, and leaves the index alone", () => {
    expect(ci()).toEqual({ status: 0, last: "10 passed, 0 failed, 3 skipped" });
    expect(git("status", "--porcelain")).toBe("");
  });

  test.each(["run lint", "run typecheck"])(
    "fails with npm %s, and counts the tests all the same",
    (FAILS) => {
      expect(ci({ FAILS })).toEqual({ status: 1, last: "10 passed, 0 failed, 3 skipped" });
    },
  );

  test.each([
    ["ci", "0 passed, 0 failed, 0 skipped"],
    ["test", "3 passed, 0 failed, 1 skipped"],
    ["run test:long", "7 passed, 0 failed, 2 skipped"],
  ])("fails with npm %s, and counts none of an earlier run", (FAILS, last) => {
    ci();
    expect(ci({ FAILS })).toEqual({ status: 1, last });
  });

  test("runs on newer versions of Node where CI is set, and fails with them", () => {
    expect(ci({ CI: "1" }).status).toBe(0);
    expect(readFileSync(join(clone, ".cache/nodes"), "utf8")).toBe("22 24\n");
    expect(ci({ CI: "1", NODES_CODE: "1" }).status).toBe(1);
  });

  test("fails where generating changes a file, not where one was edited before", () => {
    expect(ci({ GENERATED: "lamp" }).status).toBe(1);
    git("checkout", "--quiet", "docs");
    writeFileSync(join(clone, "test/toad.ts"), "");
    writeFileSync(join(clone, ".gitignore"), "build/\n.cache/\ndist/\n");
    expect(ci().status).toBe(0);
    expect(git("status", "--porcelain").split("\n")).toEqual([" M .gitignore", "?? test/toad.ts", ""]);
  });

  test("fetches the tests' data wherever CI is set, as the tests want it there", () => {
    ci();
    expect(existsSync(join(clone, ".cache"))).toBe(false);
    ci({ CI: "1" });
    expect(existsSync(join(clone, ".cache/test-data/deb"))).toBe(true);
  });
});
