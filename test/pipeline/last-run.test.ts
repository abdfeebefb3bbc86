import { mkdtempSync, readdirSync, rmSync, statSync, truncateSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import { sinceLastRun } from "#goodgate/pipeline/last-run.js";
import { facts, finding, jugNames, photo, report } from "../support/facts.js";

const files = jugNames(12);
const set = facts(files.map((file) => photo(file)));
const soft = (...numbers: number[]) =>
  report(set, {
    findings: numbers.map((i) => finding({ check: "soft-photo", severity: "reshoot", photos: [files[i]!] })),
  });

let folder: string;
let cache: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "goodgate-set-"));
  cache = mkdtempSync(join(tmpdir(), "goodgate-cache-"));
  vi.stubEnv("GOODGATE_CACHE", cache);
});
afterEach(() => {
  vi.unstubAllEnvs();
  for (const made of [folder, cache]) rmSync(made, { recursive: true, force: true });
});

const run = (one: ReturnType<typeof soft>, request: readonly unknown[] = []) =>
  sinceLastRun(folder, one, request);
const mended = (found: ReturnType<typeof run>) => found?.mended.flatMap(({ about }) => about);
const stored = () =>
  readdirSync(cache, { recursive: true, encoding: "utf8" })
    .map((name) => join(cache, name))
    .filter((path) => statSync(path).isFile());

describe("sinceLastRun", () => {
  test("the first run of a folder knows of none before", () => {
    expect(run(soft(1, 2))).toBeUndefined();
  });

  test("the next one knows what was mended, and a further one of the same says the same", () => {
    run(soft(1, 2));
    expect(mended(run(soft(2)))).toEqual([files[1]]);
    expect(mended(run(soft(2)))).toEqual([files[1]]);
    expect(mended(run(soft()))).toEqual([files[2]]);
  });

  test("runs of the same that nothing came before say nothing", () => {
    run(soft(1));
    expect(run(soft(1))).toBeUndefined();
  });

  test("another span, or another folder, is another set", () => {
    run(soft(1), [360]);
    expect(run(soft(), [180])).toBeUndefined();
    const other = mkdtempSync(join(tmpdir(), "goodgate-set-"));
    expect(sinceLastRun(other, soft(), [360])).toBeUndefined();
    rmSync(other, { recursive: true });
  });

  test("what is damaged is as good as none, and is replaced", () => {
    run(soft(1));
    for (const path of stored()) truncateSync(path, 40);
    expect(run(soft())).toBeUndefined();
    expect(run(soft(3))?.added).toHaveLength(1);
  });

  test("a cache that cannot be used is no error", () => {
    vi.stubEnv("GOODGATE_CACHE", "/proc/nowhere");
    expect(run(soft(1))).toBeUndefined();
  });
});
