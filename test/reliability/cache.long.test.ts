import {
  chmodSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it, vi } from "vitest";
import { audit } from "#goodgate/pipeline/audit.js";
import { renderJson } from "#goodgate/report/json.js";
import { seededRandom } from "../support/arrays.js";
import { jpeg, textured } from "../support/pictures.js";

let root: string;
let photos: string;
let whole: string;
let cache: string;
let expected: string;
const said: string[] = [];

const report = async (cached: boolean): Promise<string> =>
  renderJson(await audit(photos, { jobs: 1, cache: cached, onCacheUnused: (why) => said.push(why) }));

beforeAll(async () => {
  root = mkdtempSync(join(tmpdir(), "reliable-"));
  photos = join(root, "photos");
  whole = join(root, "whole");
  mkdirSync(photos);
  for (const seed of [1, 2, 3])
    writeFileSync(join(photos, `jug_${seed}.jpg`), await jpeg(textured(320, 240, seed)));
  expected = await report(false);
  vi.stubEnv("GOODGATE_CACHE", whole);
  expect(await report(true)).toBe(expected);
}, 60_000);
afterAll(() => {
  vi.unstubAllEnvs();
  rmSync(root, { recursive: true, force: true });
});
beforeEach(() => {
  said.length = 0;
  cache = join(root, "cache");
  cpSync(whole, cache, { recursive: true });
  vi.stubEnv("GOODGATE_CACHE", cache);
});
afterEach(() => rmSync(cache, { recursive: true, force: true }));

const entries = (kind: string): string[] =>
  readdirSync(cache, { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(`.${kind}`))
    .map((name) => join(cache, name))
    .sort();

const KINDS = ["photo", "data", "pairs", "set"];
/** What is read before an entry of a kind, so that it would never be asked for. */
const BEFORE: Readonly<Record<string, readonly string[]>> = { pairs: ["set"], data: ["set", "pairs"] };

type Damage = (bytes: Buffer) => Buffer;
const random = seededRandom(7);
const DAMAGES: Readonly<Record<string, Damage>> = {
  truncated: (bytes) => bytes.subarray(0, Math.floor(random() * bytes.length)),
  emptied: () => Buffer.alloc(0),
  zeroed: (bytes) => Buffer.alloc(bytes.length),
  flipped: (bytes) => {
    const flipped = Buffer.from(bytes);
    flipped[Math.floor(random() * bytes.length)]! ^= 1 << Math.floor(random() * 8);
    return flipped;
  },
  shuffled: (bytes) =>
    Buffer.concat([bytes.subarray(bytes.length >> 1), bytes.subarray(0, bytes.length >> 1)]),
};

describe("a run over a damaged cache says what one without a cache says", () => {
  for (const kind of KINDS) {
    for (const [how, damage] of Object.entries(DAMAGES)) {
      it(`where every entry of kind ${kind} is ${how}, and mends it`, async () => {
        for (const before of BEFORE[kind] ?? []) for (const path of entries(before)) rmSync(path);
        expect(entries(kind).length).toBeGreaterThan(0);
        for (const path of entries(kind)) writeFileSync(path, damage(readFileSync(path)));
        expect(await report(true)).toBe(expected);
        for (const path of entries(kind))
          expect(readFileSync(path).subarray(0, 15).toString()).toBe("goodgate box 2\n");
        expect(await report(true)).toBe(expected);
      }, 60_000);
    }

    it(`where entries of kind ${kind} stand under one another's names`, async () => {
      for (const before of BEFORE[kind] ?? []) for (const path of entries(before)) rmSync(path);
      const paths = entries(kind);
      const bytes = paths.map((path) => readFileSync(path));
      // The only entry of its kind gets one of another.
      if (paths.length === 1) bytes.push(readFileSync(entries("photo")[0]!));
      for (const [i, path] of paths.entries()) writeFileSync(path, bytes[(i + 1) % bytes.length]!);
      expect(await report(true)).toBe(expected);
    }, 60_000);

    it(`where entries of kind ${kind} are links, and follows none`, async () => {
      for (const before of BEFORE[kind] ?? []) for (const path of entries(before)) rmSync(path);
      for (const path of entries(kind)) {
        renameSync(path, `${path}-elsewhere`);
        symlinkSync(`${path}-elsewhere`, path);
      }
      expect(await report(true)).toBe(expected);
    }, 60_000);
  }

  it("where all data is taken away, and keeps it anew", async () => {
    for (const kind of ["data", "set", "pairs"]) for (const path of entries(kind)) rmSync(path);
    expect(await report(true)).toBe(expected);
    expect(entries("data")).toHaveLength(3);
  }, 60_000);
});

describe("a cache folder", () => {
  it("that others may write to is not used, and why is said", async () => {
    chmodSync(cache, 0o777);
    expect(await report(true)).toBe(expected);
    expect(said).toEqual([expect.stringMatching(/is not used: other users may write to it/)]);
  }, 60_000);

  it("that a link leads to is used", async () => {
    const link = join(root, "link");
    symlinkSync(cache, link);
    vi.stubEnv("GOODGATE_CACHE", link);
    expect(await report(true)).toBe(expected);
    expect(said).toEqual([]);
    rmSync(link);
  }, 60_000);

  it.skipIf(!existsSync("/proc/self"))(
    "under /proc is not used, and nothing waits for it",
    async () => {
      vi.stubEnv("GOODGATE_CACHE", "/proc/goodgate/cache");
      expect(await report(true)).toBe(expected);
      expect(said).toEqual([expect.stringMatching(/is not used: it cannot be made/)]);
    },
    60_000,
  );
});

describe("what a killed run left", () => {
  /** No process has this number: the system's highest is below. */
  const GONE = 2 ** 30;

  it("goes with the next run: halves in the cache, and temporary folders; those of others stay", async () => {
    const { OWNER } = await import("#goodgate/runtime/cache/owner.js");
    const here = OWNER.split("-")[0]!;
    const temporary = join(root, "tmp");
    mkdirSync(temporary);
    vi.stubEnv("TMPDIR", temporary);
    const [photo] = entries("photo");
    const half = `${photo}.${here}-${GONE}-0a0b0c0d`;
    const living = `${photo}.${here}-${process.pid}-0a0b0c0d`;
    const elsewhere = `${photo}.00000000-${GONE}-0a0b0c0d`;
    for (const path of [half, living, elsewhere]) writeFileSync(path, "half");
    mkdirSync(join(temporary, `goodgate-${here}-${GONE}-abcdef`, "0f"), { recursive: true });
    mkdirSync(join(temporary, `goodgate-${here}-${process.pid}-abcdef`));
    mkdirSync(join(temporary, "goodgate-of-the-user"));
    await report(true);
    expect([half, living, elsewhere].map(existsSync)).toEqual([false, true, true]);
    expect(readdirSync(temporary).sort()).toEqual(
      [`goodgate-${here}-${process.pid}-abcdef`, "goodgate-of-the-user"].sort(),
    );
    utimesSync(photo!, 1, 1);
  }, 60_000);
});
