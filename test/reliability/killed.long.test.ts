import { spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import sharp from "sharp";
import { afterEach, beforeAll, beforeEach, describe, expect, it, vi } from "vitest";

const PHOTOS = 16;
/** Largest resident memory of the process, KiB: it is told as the process ends. */
const PEAK =
  'process.on("exit", () => process.stderr.write("peak " + process.resourceUsage().maxRSS + " KiB\\n"))';

let root: string;
let photo: Buffer;
beforeAll(async () => {
  photo = await noise(1500, 1000);
});
beforeEach(() => {
  root = mkdtempSync(join(tmpdir(), "reliable-"));
  for (const name of ["set", "temporary", "cache"]) mkdirSync(join(root, name));
});
afterEach(() => rmSync(root, { recursive: true, force: true }));

const noise = (width: number, height: number): Promise<Buffer> =>
  sharp({
    create: {
      width,
      height,
      channels: 3,
      background: "#777",
      noise: { type: "gaussian", mean: 128, sigma: 40 },
    },
  })
    .jpeg({ quality: 60 })
    .toBuffer();

/** Files of their own, though they show the same. */
function takePhotos(count: number, bytes = photo): void {
  for (let i = 0; i < count; i++)
    writeFileSync(join(root, "set", `jug ${i}.jpg`), Buffer.concat([bytes, Buffer.alloc(i)]));
}

const filesIn = (folder: string): string[] =>
  readdirSync(join(root, folder), { recursive: true, encoding: "utf8" });

function start(args: readonly string[], cache = join(root, "cache"), node: readonly string[] = []) {
  const child = spawn(
    process.execPath,
    [...node, "bin/goodgate.js", "check", join(root, "set"), "--json", ...args],
    {
      stdio: ["ignore", "ignore", "pipe"],
      env: { ...process.env, GOODGATE_CACHE: cache, TMPDIR: join(root, "temporary") },
    },
  );
  const said: string[] = [];
  child.stderr?.on("data", (text) => said.push(String(text)));
  return { child, said, closed: once(child, "close") };
}

/** Once more, to the end. */
async function runAgain(args: readonly string[] = []): Promise<void> {
  for (const name of filesIn("set").slice(2)) rmSync(join(root, "set", name));
  await start(args).closed;
}

const until = (happened: () => boolean) => vi.waitUntil(happened, { timeout: 60_000, interval: 5 });

describe("a run that is killed in its middle (kill -9)", () => {
  it("leaves a temporary folder, which the next run removes", async () => {
    takePhotos(PHOTOS);
    const { child, closed } = start(["--no-cache", "--jobs", "1"]);
    await until(() => filesIn("temporary").length > 4);
    child.kill("SIGKILL");
    await closed;
    expect(filesIn("temporary").length).toBeGreaterThan(4);
    await runAgain(["--no-cache"]);
    expect(filesIn("temporary")).toEqual([]);
  }, 120_000);

  it("leaves whole entries in the cache, whenever it comes, or halves that the next run removes", async () => {
    takePhotos(PHOTOS);
    for (const photos of [1, 5, 9]) {
      const { child, closed } = start(["--jobs", "1"]);
      await until(() => filesIn("cache").filter((name) => name.endsWith(".photo")).length >= photos);
      child.kill("SIGKILL");
      await closed;
    }
    await runAgain();
    const kinds = filesIn("cache").filter((name) => !/\.(?:photo|data|pairs|set)$/.test(name));
    expect(kinds.filter((name) => /\.\w+\.[0-9a-f]{8}-/.test(name))).toEqual([]);
    expect(filesIn("temporary")).toEqual([]);
  }, 240_000);
});

it.skipIf(!existsSync("/proc/self"))(
  "SIGTERM ends a run whose cache was to be under /proc",
  async () => {
    takePhotos(PHOTOS);
    const { child, said, closed } = start(["--jobs", "1"], "/proc/goodgate/cache");
    await until(() => filesIn("temporary").length > 4);
    child.kill("SIGTERM");
    expect(await closed).toEqual([2, null]);
    expect(said.join("")).toMatch(/is not used.*Stopped before the end/s);
    expect(filesIn("temporary")).toEqual([]);
  },
  120_000,
);

it("eight threads stay under 1 GiB, however large the photos", async () => {
  const spied = `data:text/javascript,${encodeURIComponent(PEAK)}`;
  const peakMib = async (bytes: Buffer): Promise<number> => {
    takePhotos(PHOTOS, bytes);
    const { said, closed } = start(["--no-cache", "--jobs", "8"], undefined, ["--import", spied]);
    await closed;
    return Number(/peak (\d+) KiB/.exec(said.join(""))?.[1]) / 1024;
  };
  // The largest that eight threads decode side by side, and one that fewer do: 75 MB of pixels each.
  for (const [width, height] of [
    [4400, 3300],
    [5760, 4320],
  ] as const)
    expect(await peakMib(await noise(width, height))).toBeLessThan(1024);
}, 600_000);
