import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, utimesSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { SHARED, SHARED_MOVING } from "#goodgate/gather/questions.js";
import { box, unbox } from "#goodgate/gather/store/box.js";
import { KeptPairs, sharedNumbers } from "#goodgate/gather/store/pairs.js";
import { keepPhoto, keptFacts, photoData } from "#goodgate/gather/store/photo-data.js";
import { cacheFolder } from "#goodgate/gather/store/place.js";
import { prune } from "#goodgate/gather/store/prune.js";
import { Store } from "#goodgate/gather/store/store.js";
import type { PairResult } from "#goodgate/gather/tasks.js";
import { createFeatures } from "#goodgate/measure/features/features.js";
import { createCells } from "#goodgate/measure/photo/cells.js";
import { measurePhoto } from "#goodgate/measure/photo/photo.js";
import { seededRandom } from "../../support/arrays.js";
import { textured } from "../../support/pictures.js";

let folder: string;
let store: Store;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "goodgate-store-"));
  store = new Store({ folder, lasting: true });
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const filesIn = () =>
  readdirSync(folder, { recursive: true, encoding: "utf8" })
    .map((name) => join(folder, name))
    .filter((path) => statSync(path).isFile());

describe("a box", () => {
  const value = { jug: [1, 2.5], bits: Int32Array.of(3, -4), map: new Map([["lamp", undefined]]) };

  it("gives back what was put in, typed arrays and maps too", () => {
    expect(unbox(box(value))).toEqual(value);
  });

  it("is no box once any byte is changed, or any is missing", () => {
    const whole = box(value);
    const next = seededRandom(1);
    for (let k = 0; k < 200; k++) {
      const bytes = Buffer.from(whole);
      bytes[Math.floor(next() * bytes.length)]! ^= 1 + Math.floor(255 * next());
      expect(unbox(bytes)).toBeUndefined();
      expect(unbox(whole.subarray(0, Math.floor(next() * whole.length)))).toBeUndefined();
    }
  });
});

describe("a store", () => {
  it("gives back what was written under the same kind and key, and nothing else", () => {
    expect(store.write("photo", ["a"], { jug: 1 })).toBe(true);
    expect(store.read("photo", ["a"])).toEqual({ jug: 1 });
    expect(store.read("photo", ["b"])).toBeUndefined();
    expect(store.read("set", ["a"])).toBeUndefined();
  });

  it("leaves no unfinished file, and takes a damaged one for none", () => {
    store.write("photo", ["a"], 1);
    store.write("photo", ["a"], "two".repeat(100));
    const [only, ...others] = filesIn();
    expect(others).toEqual([]);
    expect(store.read("photo", ["a"])).toBe("two".repeat(100));
    writeFileSync(only!, readFileSync(only!).subarray(0, 60));
    expect(store.read("photo", ["a"])).toBeUndefined();
    expect(store.write("photo", ["a"], 3)).toBe(true);
    expect(store.read("photo", ["a"])).toBe(3);
  });

  it("without a folder keeps nothing", () => {
    const nowhere = new Store({ folder: undefined, lasting: false });
    expect(nowhere.write("photo", ["a"], 1)).toBe(false);
    expect(nowhere.read("photo", ["a"])).toBeUndefined();
  });

  it("says so where it cannot write: a file stands in the folder's place", () => {
    writeFileSync(join(folder, "file"), "");
    const closed = new Store({ folder: join(folder, "file"), lasting: true });
    expect(closed.write("photo", ["a"], 1)).toBe(false);
  });
});

describe("a photo's record", () => {
  it("gives back facts, keypoints and cells to the bit, and keypoints in shared memory", () => {
    const { features, cells, ...measured } = measurePhoto(textured(320, 240), 1);
    const facts = { contentHash: "ab", exif: { hasLocation: false }, ...measured };
    expect(keepPhoto(store, ["ab", "jpeg"], facts, { features, cells })).toBe(true);
    expect(keptFacts(store, ["ab", "jpeg"])).toEqual(facts);
    const again = photoData(store, { key: ["ab", "jpeg"] });
    expect(again.features).toEqual(features);
    expect(again.features.descriptors.buffer).toBeInstanceOf(SharedArrayBuffer);
    expect(again.cells).toEqual(cells);
  });

  it("that is gone is an error, not an empty photo", () => {
    expect(() => photoData(store, { key: ["gone", "jpeg"] })).toThrow("run again");
  });

  it("that could not be kept is handed over as it is", () => {
    const data = { features: createFeatures(0, 10, 10), cells: createCells(1, 1) };
    expect(photoData(store, { data })).toBe(data);
  });
});

describe("numbers that threads share", () => {
  it("lie in pieces of shared memory, many in one, each as it was given", () => {
    const lists = Array.from({ length: 50 }, (_, n) =>
      Uint16Array.from({ length: 40_000 }, (_, i) => (i * n) & 65535),
    );
    const held = lists.map(sharedNumbers);
    expect(held).toEqual(lists);
    const pieces = new Set(held.map(({ buffer }) => buffer));
    expect([...pieces].every((piece) => piece instanceof SharedArrayBuffer)).toBe(true);
    expect(pieces.size).toBeLessThanOrEqual(6);
  });

  it("may be more than a piece holds, or none", () => {
    const many = new Uint16Array(600_000).fill(7);
    expect(sharedNumbers(many)).toEqual(many);
    expect(sharedNumbers([])).toHaveLength(0);
  });
});

describe("kept pairs", () => {
  const result = (verifiedMatches: number): PairResult => ({
    facts: { verifiedMatches, verifiedRatio: 0.5 },
    inliers: sharedNumbers([1, 2]),
  });

  it("come back in another run, by both photos and by what was asked", () => {
    const first = new KeptPairs(store, SHARED);
    first.add(["a"], ["b"], result(40));
    first.add(["a"], ["c"], result(50));
    expect(new KeptPairs(store, SHARED).get(["a"], ["b"])).toBeUndefined();
    first.save();
    const second = new KeptPairs(store, SHARED);
    expect(second.get(["a"], ["b"])).toEqual(result(40));
    expect(second.get(["a"], ["c"])).toEqual(result(50));
    expect(second.get(["b"], ["a"])).toBeUndefined();
    expect(new KeptPairs(store, SHARED_MOVING).get(["a"], ["b"])).toBeUndefined();
  });
});

describe("pruning", () => {
  /** Four files, each used a second after the one before, long ago; and the bytes of one. */
  const fourFiles = () => {
    for (const name of ["a", "b", "c", "d"]) store.write("photo", [name], new Uint8Array(1000));
    const paths = filesIn();
    paths.forEach((path, age) => {
      utimesSync(path, 1000 + age, 1000 + age);
    });
    return { paths, each: statSync(paths[0]!).size };
  };

  it("takes the oldest away until four fifths of the limit are left, and only what a store wrote", async () => {
    const { paths, each } = fourFiles();
    writeFileSync(join(folder, "jug.jpg"), new Uint8Array(5000));
    expect(await prune(folder, Date.now(), 4 * each)).toBe(4 * each);
    expect(await prune(folder, Date.now(), 3 * each)).toBe(2 * each);
    expect(filesIn().sort()).toEqual([join(folder, "jug.jpg"), ...paths.slice(2)].sort());
  });

  it("leaves what the run used, by reading or by writing, beyond the limit", async () => {
    const started = Date.now();
    const { each } = fourFiles();
    store.read("photo", ["b"]);
    store.write("photo", ["d"], new Uint8Array(1000));
    expect(await prune(folder, started, 1)).toBe(2 * each);
    expect(["a", "b", "c", "d"].filter((name) => store.read("photo", [name]) !== undefined)).toEqual([
      "b",
      "d",
    ]);
  });

  it("leaves what a run that began a little earlier may be about to read", async () => {
    const { each } = fourFiles();
    expect(await prune(folder, 1000 * 1000, 1)).toBe(4 * each);
  });

  it("of a folder that is not there does nothing", async () => {
    expect(await prune(join(folder, "gone"), Date.now())).toBe(0);
  });
});

describe("the place of the cache", () => {
  it.each([
    [{ GOODGATE_CACHE: "/here" }, "linux", "/here"],
    [{ XDG_CACHE_HOME: "/cache" }, "linux", "/cache/goodgate"],
    [{}, "linux", "/home/stage/.cache/goodgate"],
    [{}, "darwin", "/home/stage/Library/Caches/goodgate"],
    [{ LOCALAPPDATA: "/local" }, "win32", "/local/goodgate/cache"],
  ] as const)("with %j on %s is %s", (env, platform, expected) => {
    expect(cacheFolder(env, platform, "/home/stage")).toBe(expected);
  });
});
