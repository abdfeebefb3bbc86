import { mkdirSync, mkdtempSync, readdirSync, rmSync, statSync, utimesSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { audit } from "#goodgate/pipeline/audit.js";
import { jpeg, textured } from "../support/pictures.js";

let root: string;
let folder: string;
let cache: string;
beforeEach(async () => {
  root = mkdtempSync(join(tmpdir(), "goodgate-run-"));
  folder = join(root, "photos");
  cache = join(root, "cache");
  mkdirSync(folder);
  vi.stubEnv("GOODGATE_CACHE", cache);
  for (const seed of [1, 2, 3])
    writeFileSync(join(folder, `jug_${seed}.jpg`), await jpeg(textured(320, 240, seed)));
});
afterEach(() => {
  vi.unstubAllEnvs();
  rmSync(root, { recursive: true, force: true });
});

/** One run over the folder with room for nothing in its cache; what it keeps of the set hangs on `spanDeg`. */
async function runOnce(spanDeg: number): Promise<unknown> {
  const { facts } = await audit(folder, { jobs: 1, cache: true, cacheLimitBytes: 1, spanDeg });
  return facts.pairs;
}

const kept = (kind: string) =>
  readdirSync(cache, { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(kind))
    .map((name) => join(cache, name))
    .sort();
const age = (paths: readonly string[]) => {
  for (const path of paths) utimesSync(path, 1000, 1000);
};

describe("a run whose cache is beyond its limit", () => {
  it("keeps what it wrote", async () => {
    await runOnce(360);
    expect(["photo", "pairs", "set"].map((kind) => kept(`.${kind}`).length)).toEqual([3, 2, 1]);
  });

  it("finds the photos that an earlier run kept until its end, and takes away what it did not use", async () => {
    const first = await runOnce(360);
    const photos = kept(".photo");
    const [set] = kept(".set");
    age(kept("").filter((path) => statSync(path).isFile()));
    expect(await runOnce(270)).toEqual(first);
    expect(kept(".photo")).toEqual(photos);
    expect(kept(".set")).not.toContain(set);
  });

  it("prunes where all that it was asked was kept", async () => {
    await runOnce(360);
    age(kept(".pairs"));
    await runOnce(360);
    expect(["photo", "pairs", "set"].map((kind) => kept(`.${kind}`).length)).toEqual([3, 0, 1]);
  });
});

describe("a folder of which nothing can be read", () => {
  const reading = () => audit(folder, { jobs: 1 });

  it("is refused with what is wrong with its only photo, and that one's way out", async () => {
    for (const seed of [2, 3]) rmSync(join(folder, `jug_${seed}.jpg`));
    writeFileSync(join(folder, "jug_1.jpg"), "The jug is behind the curtain.");
    await expect(reading()).rejects.toThrow(
      "Expected at least one photo that can be read, but jug_1.jpg, the only one, cannot be read (it is a text file, not a photo): take it out of the folder.",
    );
  });

  it("is refused with what is wrong with its first, and a way out for all", async () => {
    for (const seed of [1, 2, 3]) writeFileSync(join(folder, `jug_${seed}.jpg`), "");
    await expect(reading()).rejects.toThrow(
      "but none of the 3 can be read (jug_1.jpg: the file is empty): copy the photos from the phone again.",
    );
  });
});
