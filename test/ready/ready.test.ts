import { createHash } from "node:crypto";
import { mkdir, readdir, readFile, symlink, writeFile } from "node:fs/promises";
import { basename, join } from "node:path";
import { Ajv2020 } from "ajv/dist/2020.js";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { ready } from "#goodgate/index.js";
import { jpegPicture } from "#goodgate/ready/jpeg.js";
import type { Manifest } from "#goodgate/ready/manifest.js";
import { Bench, contents, goodgate } from "../spawn/folders.js";
import { renderedSet } from "../support/rendered.js";

const RING = { elevationDeg: 14, photos: 24, startDeg: 0, spanDeg: 360 };
const MANIFEST = new Ajv2020({ strictTuples: false }).compile<Manifest>(
  JSON.parse(await readFile("docs/manifest.schema.json", "utf8")),
);

let bench: Bench;
let clean: string[];
/** The ring with a photo that is out of focus between good ones, and a run that is brighter. */
let faulty: string[];

beforeAll(async () => {
  bench = await Bench.make();
  clean = await renderedSet({ rings: [RING] });
  faulty = await renderedSet({
    rings: [{ ...RING, photos: 36 }],
    faults: [
      { photo: 5, fault: { kind: "defocus", sigmaPx: 3 } },
      ...[14, 15, 16].map((photo) => ({
        photo,
        fault: { kind: "exposure" as const, stops: 0.8, said: false },
      })),
    ],
  });
}, 240_000);

afterAll(() => bench?.remove());

async function manifestOf(folder: string): Promise<Manifest> {
  const manifest: unknown = JSON.parse(await readFile(`${folder}.manifest.json`, "utf8"));
  if (!MANIFEST(manifest)) throw new Error(JSON.stringify(MANIFEST.errors));
  return manifest;
}

const hashOf = (bytes: Uint8Array) => createHash("sha256").update(bytes).digest("hex");

describe("goodgate ready", () => {
  it("copies a good set, each picture byte for byte, and says so beside it", async () => {
    const folder = await bench.folder(clean);
    const before = await contents(folder);
    const target = bench.path("clean up");
    const run = await goodgate("ready", folder, target);
    expect([run.code, run.err]).toEqual([0, ""]);
    expect(run.said).toContain("COPIED 24 photos");
    expect(await contents(folder)).toEqual(before);
    expect((await readdir(target)).sort()).toEqual(clean.map((path) => basename(path)).sort());
    const manifest = await manifestOf(target);
    for (const { file, source, sourceSha256, sha256, bytes } of manifest.files) {
      const [from, to] = [await readFile(join(folder, source)), await readFile(join(target, file))];
      expect([hashOf(from), hashOf(to), to.length]).toEqual([sourceSha256, sha256, bytes]);
      expect(Buffer.compare(jpegPicture(from), jpegPicture(to))).toBe(0);
    }
    expect(JSON.parse(await readFile(`${target}.report.json`, "utf8"))).toMatchObject({ verdict: "pass" });
    // Nothing is left beside them, and nothing of the user's is written over.
    const again = await goodgate("ready", folder, target);
    expect(again.code).toBe(2);
    expect(again.err).toMatch(/is not empty/);
  }, 120_000);

  it("leaves a faulty photo behind and levels those that are off; the copy then passes with nothing to edit", async () => {
    const folder = await bench.folder(faulty);
    const target = bench.path("levelled");
    const run = await goodgate("ready", folder, target, "--level", "--json");
    expect(run.code, run.said).toBe(0);
    const manifest = await manifestOf(target);
    expect(JSON.parse(run.out)).toMatchObject({ isReady: true, written: true });
    expect(manifest.left.map(({ file }) => file)).toEqual([basename(faulty[5]!)]);
    const levelled = manifest.files.filter(({ done }) => done.includes("levelled"));
    expect(levelled.map(({ source }) => source)).toEqual([14, 15, 16].map((k) => basename(faulty[k]!)));
    for (const { gains } of levelled) expect(Math.log2(gains!.green)).toBeCloseTo(-0.8, 0);
    const check = await bench.check(target);
    expect(check.report.findings.filter(({ severity }) => severity !== "note")).toEqual([]);
    expect(check.code).toBe(0);
    const { exif } = await sharp(join(target, levelled[0]!.file)).metadata();
    expect(exif?.length).toBeGreaterThan(50);
  }, 240_000);

  it("refuses a set that is not ready, and says what is missing where it is copied anyway", async () => {
    const folder = await bench.folder(clean.slice(0, 9));
    const target = bench.path("part");
    const refused = await goodgate("ready", folder, target);
    expect(refused.code).toBe(1);
    expect(refused.said).toContain("is not ready to upload; nothing was written");
    await expect(readdir(target)).rejects.toThrow("ENOENT");
    const tried = await goodgate("ready", folder, target, "--anyway", "--dry-run");
    expect([tried.code, tried.said]).toEqual([0, expect.stringContaining("WOULD COPY 9 photos")]);
    await expect(readdir(target)).rejects.toThrow("ENOENT");
    const anyway = await goodgate("ready", folder, target, "--anyway");
    expect(anyway.code).toBe(0);
    expect(anyway.said).toContain("The set is not ready");
    expect(await readdir(target)).toHaveLength(9);
  }, 120_000);

  it("chooses fewer where fewer are asked for, and makes them smaller", async () => {
    const folder = await bench.folder(faulty);
    const target = bench.path("few");
    const run = await goodgate("ready", folder, target, "--most", "24", "--long-edge", "320");
    expect(run.code, run.said).toBe(0);
    const files = await readdir(target);
    expect(files).toHaveLength(24);
    const { width, height } = await sharp(join(target, files[0]!)).metadata();
    expect(Math.max(width!, height!)).toBe(320);
  }, 120_000);

  it.each([
    [
      "inside the photos' folder",
      async (folder: string) => join(folder, "up"),
      /lies inside the folder of the photos/,
    ],
    ["the photos' folder itself", async (folder: string) => folder, /is not empty/],
    [
      "a link",
      async () => {
        const link = bench.path("link");
        await mkdir(bench.path("linked"), { recursive: true });
        await symlink(bench.path("linked"), link);
        return link;
      },
      /is a link/,
    ],
    [
      "a file",
      async () => {
        await writeFile(bench.path("toad.txt"), "toad");
        return bench.path("toad.txt");
      },
      /is a file/,
    ],
    ["in a folder that is not there", async () => bench.path("nowhere/up"), /there is no folder/],
    [
      "beside a manifest of that name",
      async () => {
        await writeFile(bench.path("taken.manifest.json"), "mine");
        return bench.path("taken");
      },
      /exists/,
    ],
  ])("refuses a target %s", async (_, targetOf, words) => {
    const folder = await bench.folder(clean.slice(0, 3));
    const before = await contents(folder);
    const run = await goodgate("ready", folder, await targetOf(folder), "--anyway");
    expect(run.code).toBe(2);
    expect(run.err).toMatch(words);
    expect(await contents(folder)).toEqual(before);
  });

  it("stopped halfway leaves neither folder nor manifest, nor anything of its own", async () => {
    const folder = await bench.folder(clean.slice(0, 8));
    const parent = bench.path("stopped");
    await mkdir(parent);
    for (const after of [1, 3, 7]) {
      const stop = new AbortController();
      const onCopied = (done: number) => {
        if (done === after) stop.abort(new Error("stopped"));
      };
      const target = join(parent, "up");
      await expect(ready(folder, target, { anyway: true, signal: stop.signal, onCopied })).rejects.toThrow();
      expect(await readdir(parent)).toEqual([]);
    }
  }, 60_000);

  it("removes what a killed run left, and leaves what a working one has", async () => {
    const folder = await bench.folder(clean.slice(0, 4));
    const parent = bench.path("leftover");
    const uuid = "123e4567-e89b-42d3-a456-426614174000";
    // No process has the highest number there is.
    const [dead, alive] = [`.up.4194305.${uuid}.part`, `.up.${process.ppid}.${uuid}.part`];
    for (const name of [dead, alive]) await mkdir(join(parent, name), { recursive: true });
    await ready(folder, join(parent, "up"), { anyway: true });
    expect((await readdir(parent)).sort()).toEqual(
      [alive, "up", "up.manifest.json", "up.report.json"].sort(),
    );
  });
});
