import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { beforeAll, expect, it } from "vitest";
import { decodePhoto } from "#goodgate/gather/decode.js";
import { readExif } from "#goodgate/gather/exif.js";
import { measurePhoto } from "#goodgate/measure/photo/photo.js";
import { turnUpright } from "#goodgate/measure/photo/upright.js";
import type * as photoSteps from "#goodgate/pipeline/photo-steps.js";
import { readPhoto } from "#goodgate/pipeline/read-photo.js";
import { Threads } from "#goodgate/runtime/threads.js";
import { dataBytes, dataFolder, describeWithData } from "../support/data.js";
import { exifBlock, pngWithExif } from "../support/exif-writer.js";
import { png } from "../support/pictures.js";
import { noStore } from "../support/store.js";
import { type EncodingMeasures, measureEncoding, ORIGINAL, oneFrame } from "./encodings.js";
import { GUISES, hostileFiles } from "./hostile.js";
import { told } from "./told.js";

const WORKER = new URL("../../dist/pipeline/photo-steps.js", import.meta.url);
/** Longest a hostile file may take of all cores, ms: other work may run beside. */
const MOST_MS = 5000;

describeWithData("encodings of one photo", () => {
  let original: EncodingMeasures;
  let frames: EncodingMeasures[];
  beforeAll(async () => {
    original = await measureEncoding(ORIGINAL);
    frames = [];
    for (const { file } of oneFrame) frames.push(await measureEncoding(file));
  });
  const spread = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);

  it("at full luma size agree within 1 % in sharpness and 0.2 points in clipping", () => {
    const sharpness = frames.map(({ laplacianVariance }) => laplacianVariance);
    expect(spread(sharpness) / Math.max(...sharpness)).toBeLessThan(0.01);
    const bands = frames.map(({ bandRatio }) => bandRatio);
    expect(spread(bands) / Math.max(...bands)).toBeLessThan(0.01);
    expect(spread(frames.map(({ clippedAny }) => clippedAny))).toBeLessThan(0.002);
  });

  it("agree with the lossless original within 4 % and 0.5 points", () => {
    for (const { laplacianVariance, bandRatio, clippedAny } of frames) {
      expect(Math.abs(laplacianVariance / original.laplacianVariance - 1)).toBeLessThan(0.04);
      expect(Math.abs(bandRatio / original.bandRatio - 1)).toBeLessThan(0.04);
      expect(Math.abs(clippedAny - original.clippedAny)).toBeLessThan(0.005);
    }
  });
});

describeWithData("orientations of one photo", () => {
  /** Turning by an orientation and then by its inverse changes nothing. */
  const INVERSE = [1, 2, 3, 4, 5, 8, 7, 6];
  const WAYS = ["eXIf", "zTXt", "tEXt"] as const;

  it("give the same measures, read from PNG with EXIF in any of its places", async () => {
    const upright = await decodePhoto(dataBytes("opencv", "graf1.png"));
    const folder = mkdtempSync(join(tmpdir(), "goodgate-"));
    const facts = [];
    try {
      for (const [i, inverse] of INVERSE.entries()) {
        const block = exifBlock({ ifd0: [{ tag: 0x0112, type: "short", value: [i + 1] }] });
        const path = join(folder, `${i + 1}.png`);
        writeFileSync(
          path,
          pngWithExif(await png(turnUpright(upright, inverse)), block, WAYS[i % WAYS.length]),
        );
        const result = await readPhoto({ file: "graf1.png", path }, noStore);
        if (!("facts" in result)) throw new Error(told(result));
        expect(result.facts.exif.orientation).toBe(i + 1);
        facts.push(result.facts);
      }
    } finally {
      rmSync(folder, { recursive: true });
    }
    const [{ widthPx, heightPx, measures }, ...others] = facts;
    expect([widthPx, heightPx]).toEqual([800, 640]);
    for (const other of others) {
      expect([other.widthPx, other.heightPx]).toEqual([widthPx, heightPx]);
      expect(rounded(other.measures)).toEqual(rounded(measures));
    }
  });

  it("encoded apart, in two sizes, agree within what encoding changes", async () => {
    for (const group of [
      [1, 2, 3, 4],
      [5, 6, 7, 8],
    ]) {
      const sharpness: number[] = [];
      for (const orientation of group) {
        const bytes = dataBytes("vips", "rotation", `${orientation}.jpg`);
        expect((await readExif(bytes)).orientation).toBe(orientation);
        const { widthPx, heightPx, measures } = measurePhoto(await decodePhoto(bytes), orientation);
        expect(heightPx).toBeGreaterThan(widthPx);
        sharpness.push(measures.laplacianVariance.value);
      }
      expect(Math.max(...sharpness) / Math.min(...sharpness)).toBeLessThan(1.05);
    }
  });
});

/** As in a report: sums over pixels in another order differ in the last of sixteen digits. */
function rounded(measures: object): unknown {
  return JSON.parse(
    JSON.stringify(measures, (_, value) =>
      typeof value === "number" ? Number(value.toPrecision(6)) : value,
    ),
  );
}

describeWithData("hostile files", () => {
  it("each end in facts or in a reason, under 5 s, whatever name they bear", async () => {
    const files = hostileFiles();
    expect(files.length).toBeGreaterThan(160);
    const pool = new Threads<typeof photoSteps>(1, WORKER);
    const wrong: string[] = [];
    try {
      for (const name of GUISES) {
        for (const file of files) {
          const path = join(dataFolder() ?? "", file);
          const start = process.cpuUsage();
          const said = await pool
            .run("readPhoto", { file: name, path })
            .then(told, (error: Error) => `failed: ${error.message}`);
          const { user, system } = process.cpuUsage(start);
          const ms = (user + system) / 1000;
          if (ms > MOST_MS || said.startsWith("failed")) wrong.push(`${file} as ${name}: ${said}, ${ms} ms`);
        }
      }
    } finally {
      await pool.close();
    }
    expect(wrong).toEqual([]);
  }, 300_000);
});
