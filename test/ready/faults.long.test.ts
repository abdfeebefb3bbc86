import { execFileSync, spawn } from "node:child_process";
import { mkdir, mkdtemp, readdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { Bench, contents, goodgateProcess } from "../spawn/folders.js";
import { renderedSet } from "../support/rendered.js";

let bench: Bench;
let folder: string;
let before: readonly string[];
const MOMENTS = 20;

beforeAll(async () => {
  bench = await Bench.make();
  folder = await bench.folder(
    (await renderedSet({ rings: [{ elevationDeg: 14, photos: 24, startDeg: 0, spanDeg: 360 }] })).slice(0, 8),
  );
  before = await contents(folder);
  // What is measured is kept, so that what follows is mostly copying.
  await goodgateProcess({}, "check", folder);
}, 240_000);

afterAll(() => bench?.remove());

/** Starts a run and kills it after so many milliseconds; undefined where it ended before. */
function killedAfter(ms: number, target: string): Promise<boolean> {
  return new Promise((resolve) => {
    const child = spawn(
      process.execPath,
      ["bin/goodgate.js", "ready", folder, target, "--anyway", "--long-edge", "600"],
      {
        stdio: "ignore",
      },
    );
    const timer = setTimeout(() => child.kill("SIGKILL"), ms);
    child.on("exit", (_, signal) => {
      clearTimeout(timer);
      resolve(signal === "SIGKILL");
    });
  });
}

describe("goodgate ready, disturbed", () => {
  it(`killed at ${MOMENTS} moments leaves a whole folder or none, and the next run clears up`, async () => {
    const parent = bench.path("killed");
    await mkdir(parent);
    let killed = 0;
    for (let moment = 0; moment < MOMENTS; moment++) {
      if (await killedAfter(60 * (moment + 1), join(parent, "up"))) killed++;
      const names = (await readdir(parent)).filter((name) => !name.startsWith("."));
      if (names.includes("up")) expect(await readdir(join(parent, "up"))).toHaveLength(8);
      else expect(names).toEqual([]);
      for (const name of names) await rm(join(parent, name), { recursive: true });
    }
    expect(killed).toBeGreaterThan(MOMENTS / 4);
    const run = await goodgateProcess({}, "ready", folder, join(parent, "up"), "--anyway");
    expect(run.code, run.said).toBe(0);
    expect((await readdir(parent)).sort()).toEqual(["up", "up.manifest.json", "up.report.json"]);
    expect(await contents(folder)).toEqual(before);
  }, 300_000);

  it("two runs into one folder at once leave one whole copy", async () => {
    const target = bench.path("both");
    const runs = await Promise.all(
      [1, 2].map(() => goodgateProcess({}, "ready", folder, target, "--anyway")),
    );
    const codes = runs.map(({ code }) => code).sort();
    expect(codes[0], runs.map(({ said }) => said).join()).toBe(0);
    expect(await readdir(target)).toHaveLength(8);
    expect(await contents(folder)).toEqual(before);
  }, 120_000);

  it.skipIf(process.getuid?.() !== 0)(
    "on a full disk says so and leaves nothing",
    async () => {
      const disk = await mkdtemp(join(tmpdir(), "goodgate-full-"));
      try {
        execFileSync("mount", ["-t", "tmpfs", "-o", "size=600k", "tmpfs", disk]);
      } catch {
        // Not every sandbox lets a file system be mounted.
        await rm(disk, { recursive: true });
        return;
      }
      try {
        const run = await goodgateProcess({}, "ready", folder, join(disk, "up"), "--anyway");
        expect(run.code).toBe(2);
        expect(run.said).toMatch(/the disk is full: make room/);
        expect(await readdir(disk)).toEqual([]);
      } finally {
        execFileSync("umount", [disk]);
        await rm(disk, { recursive: true });
      }
      expect(await contents(folder)).toEqual(before);
    },
    120_000,
  );
});
