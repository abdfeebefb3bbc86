import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, test } from "vitest";
import { cleanDemo, type SetOptions } from "#goodgate/demo/options.js";
import { planSet } from "#goodgate/demo/plan.js";
import { truthOf } from "#goodgate/demo/truth.js";
import { FolderNotEmptyError, writeSet } from "#goodgate/demo/write.js";

// Plaster under an overcast sky before plain cloth: the scene that is quickest to build.
const options: SetOptions = {
  ...cleanDemo,
  widthPx: 160,
  heightPx: 120,
  background: "plain",
  material: "plaster",
  lamps: "overcast",
  rings: [{ elevationDeg: 25, photos: 3, startDeg: 0, spanDeg: 360 }],
};

describe("writing a set", () => {
  const root = mkdtempSync(join(tmpdir(), "goodgate-demo-"));
  afterAll(() => rmSync(root, { recursive: true }));
  const plan = planSet(options);

  test("photos and truth are there, nothing else, and the bytes do not depend on the number of threads", async () => {
    const seen: number[] = [];
    await writeSet(plan, join(root, "one"), { jobs: 1, onProgress: (done) => seen.push(done) });
    await writeSet(plan, join(root, "two"), { jobs: 2 });
    const names = ["IMG_0001.jpg", "IMG_0002.jpg", "IMG_0003.jpg", "truth.json"];
    expect(readdirSync(join(root, "one")).sort()).toEqual(names);
    expect(seen).toEqual([1, 2, 3]);
    for (const name of names) {
      expect(readFileSync(join(root, "two", name)).equals(readFileSync(join(root, "one", name)))).toBe(true);
    }
    expect(JSON.parse(readFileSync(join(root, "one", "truth.json"), "utf8"))).toEqual(
      JSON.parse(JSON.stringify(truthOf(plan))),
    );
    expect(readdirSync(root).sort()).toEqual(["one", "two"]);
  });

  test("a folder that is not empty is refused and left alone", async () => {
    const folder = mkdtempSync(join(root, "full-"));
    writeFileSync(join(folder, "note.txt"), "the jug is borrowed");
    await expect(writeSet(plan, folder)).rejects.toThrow(FolderNotEmptyError);
    await expect(writeSet(plan, folder)).rejects.toThrow("holds 1 file");
    expect(readdirSync(folder)).toEqual(["note.txt"]);
  });

  test("stopped halfway, it leaves nothing behind", async () => {
    const folder = join(root, "stopped");
    const stop = new AbortController();
    const writing = writeSet(plan, folder, {
      signal: stop.signal,
      onProgress: () => stop.abort(new Error("enough")),
    });
    await expect(writing).rejects.toThrow("enough");
    expect(existsSync(folder)).toBe(false);
    expect(readdirSync(root).filter((name) => name.startsWith("."))).toEqual([]);
  });
});
