import { createHash } from "node:crypto";
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { readExif } from "#goodgate/gather/exif.js";
import { makePictures } from "#goodgate/pictures/pictures.js";
import type { PhotoOrder, PicturesOrder } from "#goodgate/report/page/pictures.js";
import { renderedSet } from "../support/rendered.js";

const sizes = { thumbPx: 64, largePx: 320, largeBytes: 40_000, cutPx: 48 };
let folder: string;
let names: string[];
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "goodgate-pictures-"));
  const paths = (await renderedSet({ portraitShare: 0.5 })).slice(0, 4);
  names = paths.map((path) => basename(path));
  for (const path of paths) cpSync(path, join(folder, basename(path)));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const hashOf = (file: string) =>
  createHash("sha256")
    .update(readFileSync(join(folder, file)))
    .digest("hex");
const orderOf = (file: string, more: Partial<PhotoOrder> = {}): PhotoOrder => ({
  file,
  contentHash: hashOf(file),
  megapixels: 0.3,
  cuts: [],
  ...more,
});
const make = (...photos: PhotoOrder[]) => makePictures(folder, { sizes, photos } satisfies PicturesOrder);
const bytesOf = (base64: string) => Buffer.from(base64, "base64");

describe("makePictures", () => {
  test("makes photos smaller and upright, in no more bytes than are given", async () => {
    const made = await make(...names.map((file) => orderOf(file)));
    expect([...made.keys()].toSorted()).toEqual(names.toSorted());
    for (const file of names) {
      const { width, height } = await sharp(join(folder, file))
        .autoOrient()
        .toBuffer({ resolveWithObject: true })
        .then(({ info }) => info);
      const { large, thumb } = made.get(file)!;
      expect(Math.max(large.widthPx, large.heightPx)).toBe(320);
      expect(Math.max(thumb.widthPx, thumb.heightPx)).toBe(64);
      expect(large.widthPx / large.heightPx).toBeCloseTo(width / height, 1);
      expect(bytesOf(large.base64).length).toBeLessThanOrEqual(sizes.largeBytes);
    }
  });

  test("keeps nothing of what a file says of itself", async () => {
    const made = await make(...names.map((file) => orderOf(file, { cuts: [{ x: 0.5, y: 0.5 }] })));
    for (const { large, thumb, cuts } of made.values())
      for (const { base64 } of [large, thumb, ...cuts]) {
        const { exif, xmp, iptc } = await sharp(bytesOf(base64)).metadata();
        expect([exif, xmp, iptc]).toEqual([undefined, undefined, undefined]);
        expect(await readExif(bytesOf(base64))).toEqual({ hasLocation: false });
      }
  });

  test("cuts a piece at the photo's own size, from where it is asked for", async () => {
    const file = names[0]!;
    const upright = await sharp(join(folder, file))
      .autoOrient()
      .removeAlpha()
      .raw()
      .toBuffer({ resolveWithObject: true });
    const { width, height } = upright.info;
    const made = await make(
      orderOf(file, {
        cuts: [
          { x: 0.5, y: 0.25 },
          { x: 1, y: 1 },
        ],
      }),
    );
    const corners = [
      [Math.round(0.5 * width - 24), Math.round(0.25 * height - 24)],
      [width - 48, height - 48],
    ];
    for (const [k, { base64 }] of made.get(file)!.cuts.entries()) {
      const { data, info } = await sharp(bytesOf(base64)).raw().toBuffer({ resolveWithObject: true });
      expect([info.width, info.height]).toEqual([48, 48]);
      let off = 0;
      for (let y = 0; y < 48; y++)
        for (let x = 0; x < 48; x++)
          off += Math.abs(
            data[3 * (48 * y + x) + 1]! -
              upright.data[3 * (width * (corners[k]![1]! + y) + corners[k]![0]! + x) + 1]!,
          );
      expect(off / 48 ** 2).toBeLessThan(4);
    }
  });

  test("levels by the gains given: half the light is a stop darker", async () => {
    const file = names[0]!;
    const gains = { red: 0.5, green: 0.5, blue: 0.5 };
    const { large, levelled } = (await make(orderOf(file, { gains }))).get(file)!;
    const mean = async (base64: string) => (await sharp(bytesOf(base64)).stats()).channels[1]!.mean;
    expect(await mean(levelled!.base64)).toBeLessThan(0.85 * (await mean(large.base64)));
  });

  test("gives none for a photo that is gone, or another than was judged", async () => {
    const [gone, changed] = [names[0]!, names[1]!];
    const orders = [{ ...orderOf(gone), file: "gone.jpg" }, orderOf(changed)];
    writeFileSync(join(folder, changed), readFileSync(join(folder, gone)));
    expect((await make(...orders)).size).toBe(0);
  });
});
