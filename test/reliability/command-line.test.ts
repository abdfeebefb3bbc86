import { execFileSync, spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { mergeLimits } from "#goodgate/checks/limits.js";
import { readLimits } from "#goodgate/commands/limits-file.js";
import { checkSavePath, saveWhole } from "#goodgate/commands/save.js";

let root: string;
beforeAll(() => {
  root = mkdtempSync(join(tmpdir(), "reliable-"));
});
afterAll(() => rmSync(root, { recursive: true, force: true }));

const limits = (text: string) => {
  const path = join(root, "limits.json");
  writeFileSync(path, text);
  return readLimits(path, async (json, file) => mergeLimits(json, file));
};

describe("a file of limits", () => {
  it("that is whole is read", async () => {
    const read = await limits('\ufeff{"soft-photo": {"blur": 1.5}}');
    expect(read["soft-photo"]!.blur!.value).toBe(1.5);
  });

  it.each([
    ["of more than 1 MiB", " ".repeat(2 ** 20 + 1), /is larger than 1 MiB: name a JSON file of limits/],
    ["nested too deep", "[".repeat(100_000), /it is nested too deep: it should look like/],
    ["with a number without end", '{"soft-photo": {"blur": 1e999}}', /1e999 is larger than any/],
    ["with a name twice", '{"soft-photo": {"blur": 1, "blur": 2}}', /"blur" is there twice: keep one/],
    ["with a name twice, once escaped", '{"soft-photo": {}, "soft\\u002dphoto": {}}', /is there twice/],
    ["that is no JSON", '{"soft-photo": }', /does not parse/],
  ])("%s is refused in a sentence", async (_, text, words) => {
    await expect(limits(text)).rejects.toThrow(words);
  });

  it("that is a pipe is refused, and not waited for", async () => {
    const pipe = join(root, "pipe");
    execFileSync("mkfifo", [pipe]);
    await expect(readLimits(pipe, async () => ({}))).rejects.toThrow(/is no plain file/);
  });

  it("that is a folder is refused", async () => {
    await expect(readLimits(root, async () => ({}))).rejects.toThrow(/is no plain file|it is a folder/);
  });
});

describe("saving a report", () => {
  const report = '{\n  "schemaVersion": 2,\n  "tool": { "name": "goodgate", "version": "1" }\n}\n';

  it("goes under a name as long as the system allows", async () => {
    const path = join(root, `${"jug".repeat(83)}.json`);
    await saveWhole(path, report, { force: false });
    expect(readFileSync(path, "utf8")).toBe(report);
  });

  it("under a longer one is refused before the work starts", async () => {
    await expect(checkSavePath(join(root, "jug".repeat(100)), false)).rejects.toThrow(/the name is too long/);
  });

  it.each([
    ["a photo", "\u00ff\u00d8\u00ff"],
    ["another program's report", '{"schemaVersion": 2, "tool": {"name": "shelfmark"}}'],
    ["an empty file", ""],
  ])("replaces no %s, even with --force", async (_, text) => {
    const path = join(root, "there.json");
    writeFileSync(path, text);
    await expect(saveWhole(path, report, { force: true })).rejects.toThrow(/is something else/);
    expect(readFileSync(path, "utf8")).toBe(text);
  });

  it("replaces a report of this program with --force", async () => {
    const path = join(root, "there.json");
    writeFileSync(path, report);
    await saveWhole(path, `${report}\n`, { force: true });
    expect(readFileSync(path, "utf8")).toBe(`${report}\n`);
  });
});

describe("a working folder that was deleted", () => {
  it.each([["photos"], ["/nowhere/photos"]])("check %s ends with 2 and a sentence", (folder) => {
    const gone = join(root, "gone");
    mkdirSync(gone);
    const program = resolve("bin/goodgate.js");
    const line = `rmdir "${gone}"; exec "${process.execPath}" "${program}" check "${folder}"`;
    const { status, stderr, stdout } = spawnSync("sh", ["-c", line], { cwd: gone, encoding: "utf8" });
    expect(stdout).toBe("");
    expect(stderr).toMatch(/^goodgate: Expected a folder of photos, but .* does not exist/);
    expect(stderr).not.toMatch(/^\s+at /m);
    expect(status).toBe(2);
  });
});

describe.skipIf(process.platform === "win32")("a limit on open files", () => {
  it.each([24, 40, 64])("of %i ends with 2 and says what to raise, or is enough", (most) => {
    const line = `ulimit -n ${most}; exec "${process.execPath}" "${resolve("bin/goodgate.js")}" check "${root}"`;
    const { status, stderr } = spawnSync("sh", ["-c", line], { encoding: "utf8" });
    expect(stderr).toMatch(/raise its limit \(ulimit -n 1024\)|holds|does not exist|no photo/);
    expect(stderr).not.toMatch(/fault of the program|^\s+at /m);
    expect(status).toBe(2);
  });
});
