import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, utimesSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { box, unbox } from "#goodgate/runtime/cache/box.js";
import { cacheFolder } from "#goodgate/runtime/cache/place.js";
import { prune } from "#goodgate/runtime/cache/prune.js";
import { Store } from "#goodgate/runtime/cache/store.js";
import { seededRandom } from "../../support/arrays.js";

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
  const key = Buffer.alloc(32, 7);

  it("gives back what was put in, typed arrays and maps too", () => {
    expect(unbox(key, box(key, value))).toEqual(value);
  });

  it("is no box under another key", () => {
    expect(unbox(Buffer.alloc(32, 8), box(key, value))).toBeUndefined();
  });

  it("is no box once any byte is changed, or any is missing", () => {
    const whole = box(key, value);
    const next = seededRandom(1);
    for (let k = 0; k < 200; k++) {
      const bytes = Buffer.from(whole);
      bytes[Math.floor(next() * bytes.length)]! ^= 1 + Math.floor(255 * next());
      expect(unbox(key, bytes)).toBeUndefined();
      expect(unbox(key, whole.subarray(0, Math.floor(next() * whole.length)))).toBeUndefined();
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
