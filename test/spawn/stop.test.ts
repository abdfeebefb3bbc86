import { spawn } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";

/** A second on a machine with nothing else to do; the tests share theirs. */
const MOST_MS = 3000;

const PHOTOS = 24;

let root: string;
beforeAll(async () => {
  root = mkdtempSync(join(tmpdir(), "goodgate-stop-"));
  for (const name of ["set", "temporary"]) mkdirSync(join(root, name));
  const create = { width: 4000, height: 3000, channels: 3, background: "#777" } as const;
  const noise = { type: "gaussian", mean: 128, sigma: 40 } as const;
  const photo = await sharp({ create: { ...create, noise } })
    .jpeg()
    .toBuffer();
  // One after the other they take longer than any of the delays, on any machine.
  for (let i = 0; i < PHOTOS; i++)
    writeFileSync(join(root, "set", `jug ${i}.jpg`), Buffer.concat([photo, Buffer.alloc(i)]));
});
afterAll(() => rmSync(root, { recursive: true, force: true }));

describe.each(["SIGINT", "SIGTERM"] as const)("%s in the middle of a run", (signal) => {
  test.each([
    [700, false],
    [2000, false],
    [2000, true],
  ])("after %i ms, cache %s, ends it with 2 within a second, and leaves no file", async (delayMs, cache) => {
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
    let [out, err, told] = ["", "", 0];
    child.stdout.on("data", (text) => {
      out += text;
    });
    child.stderr.on("data", (text) => {
      err += text;
    });
    setTimeout(() => {
      told = performance.now();
      child.kill(signal);
    }, delayMs);
    const code = await new Promise((resolve) => child.on("close", resolve));
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
  });
});
