import { createHash } from "node:crypto";
import { appendFileSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { UnreadablePhoto } from "#goodgate/gather/errors.js";
import { readPhotoFile } from "#goodgate/gather/read-file.js";
import type { PairTask } from "#goodgate/pipeline/compare-pair.js";
import { photoData } from "#goodgate/pipeline/photo-data.js";
import type * as photoSteps from "#goodgate/pipeline/photo-steps.js";
import type { PhotoTask } from "#goodgate/pipeline/read-photo.js";
import { Threads } from "#goodgate/runtime/threads.js";
import { jpeg, quarters, textured } from "../support/pictures.js";
import { noStore } from "../support/store.js";

let folder: string;
let pool: Threads<typeof photoSteps>;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "goodgate-"));
  pool = new Threads<typeof photoSteps>(2, new URL("../../dist/pipeline/photo-steps.js", import.meta.url));
});
afterAll(async () => {
  await pool.close();
  rmSync(folder, { recursive: true, force: true });
});

const put = (name: string, bytes: Uint8Array | string): string => {
  writeFileSync(join(folder, name), bytes);
  return join(folder, name);
};
const photoTask = (file: string): PhotoTask => ({ file, path: join(folder, file) });

describe("threads that read photos", () => {
  it("give facts with the file's hash, upright size and EXIF, and keypoints in shared memory", async () => {
    const bytes = await jpeg(textured(320, 240), {
      orientation: 6,
      exif: { IFD0: { Make: "Lamplight" }, IFD2: { DateTimeOriginal: "2026:05:01 14:03:22" } },
    });
    put("jug.jpg", bytes);
    const result = await pool.run("readPhoto", photoTask("jug.jpg"));
    if (!("facts" in result)) throw new Error(`expected facts, found ${JSON.stringify(result)}`);
    expect(result.facts).toMatchObject({
      file: "jug.jpg",
      widthPx: 240,
      heightPx: 320,
      contentHash: createHash("sha256").update(bytes).digest("hex"),
      exif: { orientation: 6, capturedAt: "2026-05-01T14:03:22", hasLocation: false },
    });
    const { features } = photoData(noStore, result.data);
    expect(features.count).toBeGreaterThan(50);
    expect(features.descriptors.buffer).toBeInstanceOf(SharedArrayBuffer);
  });

  it("report each bad file with its reason, and read the rest", async () => {
    const whole = await jpeg(textured());
    put("1 good.jpg", whole);
    put("2 cut.jpg", whole.subarray(0, whole.length >> 1));
    put("3 text.jpg", "The jug is behind the curtain.");
    put("4 zero.jpg", "");
    put("5 small.jpg", await jpeg(quarters(40, 30)));
    symlinkSync("gone.jpg", join(folder, "7 link.jpg"));
    put("8 good.jpg", await jpeg(textured(320, 240, 2)));
    put("9 foreign.jxl", Uint8Array.of(0xff, 0x0a, 0, 0));
    const names = ["1 good", "2 cut", "3 text", "4 zero", "5 small", "6 gone", "7 link", "8 good"];
    const files = [...names.map((name) => `${name}.jpg`), "9 foreign.jxl"];
    const outcomes = await pool.map("readPhoto", files.map(photoTask));
    const reasons = outcomes.map((outcome) => {
      if (!outcome.ok) return `failed: ${outcome.error.message}`;
      return "unreadable" in outcome.value ? outcome.value.unreadable.reason : "read";
    });
    const gone = "the file is no longer there, or is a link to nothing";
    expect(reasons).toEqual([
      "read",
      "the file ends early or is damaged",
      "it is a text file, not a photo",
      "the file is empty",
      "it is 40 x 30 px, too small to be a photo",
      gone,
      gone,
      "read",
      "it is a photo of a kind that is not read here",
    ]);
  });

  it("compare two photos; the same seed gives the same answer", async () => {
    const features = await Promise.all(
      ["one.jpg", "two.jpg"].map(async (name) => {
        put(name, await jpeg(textured(480, 360, 5)));
        const result = await pool.run("readPhoto", photoTask(name));
        if (!("facts" in result)) throw new Error(`expected facts, found ${JSON.stringify(result)}`);
        return result.data;
      }),
    );
    const task: PairTask = {
      a: features[0],
      b: features[1],
      focalLength35Mm: { a: 26, b: undefined },
      dynamicOnly: false,
      seed: 7,
    };
    const [first, second] = await Promise.all([pool.run("comparePair", task), pool.run("comparePair", task)]);
    expect(first.facts.verifiedMatches).toBeGreaterThan(30);
    // Two files of one picture: the camera did not step between them.
    expect(first.pose?.kind).toBe("pure-rotation");
    expect(second).toEqual(first);
    // All of it stands still, so nothing is left where only what moved counts.
    const still = { a: features[0]!, b: features[1]! };
    expect(await pool.run("findStatic", still)).toMatchObject({ share: 1, still: true });
    const moving = await pool.run("comparePair", { ...task, dynamicOnly: true });
    expect(moving.facts.verifiedMatches).toBe(0);
    expect(moving.pose).toBeUndefined();
  });
});

describe("reading a file", () => {
  it("that changes while it is read is refused", async () => {
    const path = put("growing.jpg", new Uint8Array(32 << 20));
    const reading = readPhotoFile(path);
    const growing = setInterval(() => appendFileSync(path, "more"), 0);
    const error = await reading.then(
      () => undefined,
      (thrown: unknown) => thrown,
    );
    clearInterval(growing);
    expect(error).toBeInstanceOf(UnreadablePhoto);
    expect((error as UnreadablePhoto).reason).toContain("changed while it was read");
  });

  it("is whole, whatever was read before it", async () => {
    for (const length of [3000, 10, 5000, 5000, 1, 20 << 20, 7]) {
      const content = new Uint8Array(length).fill(length & 255);
      const { bytes, contentHash } = await readPhotoFile(put("lamp.jpg", content));
      expect(Buffer.compare(bytes, content)).toBe(0);
      expect(contentHash).toBe(createHash("sha256").update(content).digest("hex"));
    }
  });

  it("that is a folder is refused", async () => {
    await expect(readPhotoFile(folder)).rejects.toThrow("it is not a file");
  });

  it("that is a link to itself is refused", async () => {
    symlinkSync("loop.jpg", join(folder, "loop.jpg"));
    await expect(readPhotoFile(join(folder, "loop.jpg"))).rejects.toThrow("leads back to itself");
  });
});
