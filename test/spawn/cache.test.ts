import { spawn } from "node:child_process";
import { once } from "node:events";
import { cp, mkdir, readdir, rm, truncate, writeFile } from "node:fs/promises";
import { basename, join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test, vi } from "vitest";
import { renderedSet } from "../support/rendered.js";
import { Bench, goodgate, goodgateProcess } from "./folders.js";

let bench: Bench;
let photos: string[];
let other: string;
let cache: string;
let temporary: string;

beforeAll(async () => {
  bench = await Bench.make();
  const rendered = await renderedSet({
    rings: [{ elevationDeg: 20, photos: 6, startDeg: 0, spanDeg: 60 }],
  });
  photos = rendered.slice(0, 5);
  other = rendered[5]!;
  temporary = bench.path("temporary");
  await mkdir(temporary);
});
afterAll(() => bench?.remove());
beforeEach(async () => {
  cache = bench.path("cache");
  await rm(cache, { recursive: true, force: true });
  vi.stubEnv("GOODGATE_CACHE", cache);
  vi.stubEnv("TMPDIR", temporary);
});
afterEach(() => vi.unstubAllEnvs());

const check = (folder: string, ...options: string[]) => goodgate("check", folder, "--json", ...options);
const kept = async (kind: string) =>
  (await readdir(cache, { recursive: true })).filter((name) => name.endsWith(kind)).sort();
const left = () => readdir(temporary);

describe("the second run of a folder", () => {
  test("says the same to the byte, and measures nothing again", async () => {
    const folder = await bench.folder(photos);
    const first = await check(folder, "--no-cache");
    expect(await check(folder)).toEqual(first);
    const records = await kept("");
    expect(await kept(".photo")).toHaveLength(5);
    expect(await kept(".set")).toHaveLength(1);
    expect(await check(folder)).toEqual(first);
    expect(await kept("")).toEqual(records);
    expect(await left()).toEqual([]);
  });

  test("after one photo was taken again measures that one, and says what a fresh run says", async () => {
    const folder = await bench.folder(photos);
    await check(folder);
    await cp(other, join(folder, basename(photos[3]!)));
    const changed = await check(folder);
    expect(await kept(".photo")).toHaveLength(6);
    expect(changed).toEqual(await check(folder, "--no-cache"));
  });

  test("does not trust a cache that is damaged", async () => {
    const folder = await bench.folder(photos);
    const first = await check(folder);
    for (const [k, name] of (await kept("")).entries()) {
      const path = join(cache, name);
      if (!/\.(photo|pairs|set)$/.test(name)) continue;
      if (k % 2 === 0) await truncate(path, 100);
      else await writeFile(path, "The jug is behind the curtain.");
    }
    expect(await check(folder)).toEqual(first);
  });

  test("at the same time as another says the same", async () => {
    const folder = await bench.folder(photos);
    const apart = () => goodgateProcess({}, "check", folder, "--json");
    const [one, two] = await Promise.all([apart(), apart()]);
    expect(one.code).toBe(1);
    expect(two).toEqual(one);
  });
});

describe("what a run leaves behind", () => {
  test("nothing with --no-cache", async () => {
    const folder = await bench.folder(photos.slice(0, 3));
    await check(folder, "--no-cache");
    expect(await left()).toEqual([]);
    await expect(readdir(cache)).rejects.toThrow("ENOENT");
  });

  test("nothing where the cache cannot be written, and it says so, and no less", async () => {
    const folder = await bench.folder(photos.slice(0, 3));
    await writeFile(cache, "a file, not a folder");
    const run = await check(folder);
    const { err, said: _, ...rest } = run;
    expect(err).toMatch(
      /^goodgate: The cache folder .* is not used: it cannot be made or written \(ENOTDIR\)\.\n$/,
    );
    expect(await check(folder, "--no-cache")).toMatchObject({ ...rest, err: "" });
    expect(await left()).toEqual([]);
  });

  test.each(["SIGINT", "SIGTERM"] as const)("nothing after %s", async (signal) => {
    const folder = await bench.folder(photos);
    const child = spawn(process.execPath, ["bin/goodgate.js", "check", folder, "--no-cache", "--jobs", "1"]);
    // Its folder is there once it works.
    await vi.waitUntil(async () => (await left()).length > 0, { timeout: 30_000, interval: 5 });
    child.kill(signal);
    await once(child, "exit");
    expect(child.exitCode).toBe(2);
    expect(await left()).toEqual([]);
  });
});
