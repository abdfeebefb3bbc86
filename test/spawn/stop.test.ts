import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";

/** A second on a machine with nothing else to do; the tests share theirs. */
const MOST_MS = 3000;

const PHOTOS = 24;

let root: string;
beforeAll(async () => {
  root = mkdtempSync(join(tmpdir(), "goodgate-stop-"));
  for (const name of ["set", "temporary"]) mkdirSync(join(root, name));
  const create = { width: 3000, height: 2000, channels: 3, background: "#777" } as const;
  const noise = { type: "gaussian", mean: 128, sigma: 40 } as const;
  const photo = await sharp({ create: { ...create, noise } })
    .jpeg()
    .toBuffer();
  // Many more than are measured before the signal comes, on any machine.
  for (let i = 0; i < PHOTOS; i++)
    writeFileSync(join(root, "set", `jug ${i}.jpg`), Buffer.concat([photo, Buffer.alloc(i)]));
});
afterAll(() => rmSync(root, { recursive: true, force: true }));

/** Folders and files in a folder: the run's own folder comes first, then what is kept of each photo. */
const recordsIn = (folder: string): number => readdirSync(folder, { recursive: true }).length;

describe.each(["SIGINT", "SIGTERM"] as const)("%s in the middle of a run", (signal) => {
  test.each([
    [0, false],
    [4, false],
    [4, true],
  ])(
    "after %i photos, cache %s, ends it with 2 within a second, and leaves no file",
    async (measured, cache) => {
      const saved = mkdtempSync(join(root, "saved-"));
      const args = [
        "bin/goodgate.js",
        "check",
        join(root, "set"),
        "--jobs",
        "1",
        "--save",
        join(saved, "report.json"),
      ];
      const cacheFolder = mkdtempSync(join(root, "cache-"));
      const kept = cache ? [] : ["--no-cache"];
      const env = { ...process.env, GOODGATE_CACHE: cacheFolder, TMPDIR: join(root, "temporary") };
      const child = spawn(process.execPath, [...args, ...kept], { stdio: ["ignore", "pipe", "pipe"], env });
      let [out, err] = ["", ""];
      child.stdout.on("data", (text) => {
        out += text;
      });
      child.stderr.on("data", (text) => {
        err += text;
      });
      const closed = once(child, "close");
      await vi.waitUntil(() => recordsIn(cache ? cacheFolder : join(root, "temporary")) > measured, {
        timeout: 30_000,
        interval: 5,
      });
      const told = performance.now();
      child.kill(signal);
      const [code] = await closed;
      expect(performance.now() - told).toBeLessThan(MOST_MS);
      expect([code, out]).toEqual([2, ""]);
      expect(err).toBe("goodgate: Stopped before the end. Nothing was left behind.\n");
      expect(readdirSync(saved)).toEqual([]);
      expect(readdirSync(join(root, "temporary"))).toEqual([]);
      expect(readdirSync(join(root, "set"))).toHaveLength(PHOTOS);
      // What was measured by then may be kept, whole; nothing half written.
      const inCache = readdirSync(cacheFolder, { recursive: true, encoding: "utf8" });
      if (!cache) expect(inCache).toEqual([]);
      expect(inCache.filter((name) => /\.\d+-[0-9a-f]{8}$/.test(name))).toEqual([]);
    },
  );
});
