import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { decodePhoto } from "#goodgate/gather/decode.js";
import { UnreadablePhoto } from "#goodgate/gather/errors.js";
import expected from "../../fixtures/files/expected.json" with { type: "json" };
import { dataFolder, describeWithData } from "../support/data.js";

const sizes = expected.sizes as unknown as Record<string, readonly [number, number]>;
const unreadable = expected.unreadable as unknown as Record<string, string>;

/** Longest one file may take of all cores, ms: five times the slowest here. Other work may run beside. */
const MOST_MS = 5000;

async function reading(file: string): Promise<string> {
  const started = process.cpuUsage();
  const found = await decodePhoto(readFileSync(join(dataFolder() ?? "", file))).then(
    ({ width, height, data }) =>
      data.length === 3 * width * height ? `${width} x ${height}` : `${width} x ${height}, wrong length`,
    (error: unknown) => (error instanceof UnreadablePhoto ? error.reason : `failed: ${error}`),
  );
  const { user, system } = process.cpuUsage(started);
  return (user + system) / 1000 > MOST_MS ? `too slow: ${found}` : found;
}

describeWithData("pixels of real files", () => {
  it("have the size exiftool reads, in every file that can be read", async () => {
    const wrong: Record<string, string> = {};
    for (const [file, [width, height]] of Object.entries(sizes)) {
      const found = await reading(file);
      if (found !== `${width} x ${height}`) wrong[file] = found;
    }
    expect(wrong).toEqual({});
    expect(Object.keys(sizes).length).toBeGreaterThan(850);
  });

  it("that cannot be read are refused with the listed reason, hostile files too", async () => {
    const found: Record<string, string> = {};
    for (const file of Object.keys(unreadable)) found[file] = await reading(file);
    expect(found).toEqual(unreadable);
  });
});
