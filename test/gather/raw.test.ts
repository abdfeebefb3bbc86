import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { kindOf } from "#goodgate/gather/kind.js";
import { jpegFrame } from "#goodgate/gather/raw/jpeg-frame.js";
import { openRaw } from "#goodgate/gather/raw/raw.js";
import { type PhotoResult, readPhoto } from "#goodgate/pipeline/read-photo.js";
import { dataBytes, dataPath, describeWithData } from "../support/data.js";
import { type Directories, exifBlock, jpegWithExif } from "../support/exif-writer.js";
import { jpeg, textured } from "../support/pictures.js";
import { arw, cr2, cr3, dng, nef, orf, type RawParts, raf, rw2 } from "../support/raw-files.js";
import { noStore } from "../support/store.js";

const exif: Directories = {
  ifd0: [
    { tag: 0x010f, type: "ascii", value: "Lamplight" },
    { tag: 0x0110, type: "ascii", value: "Gallery 2" },
    { tag: 0x0112, type: "short", value: [6] },
  ],
  exif: [
    { tag: 0x829a, type: "rational", value: [[1, 60]] },
    { tag: 0x829d, type: "rational", value: [[8, 1]] },
    { tag: 0x8827, type: "short", value: [200] },
    { tag: 0x9003, type: "ascii", value: "2026:05:01 14:03:22" },
  ],
  gps: [
    {
      tag: 0x0002,
      type: "rational",
      value: [
        [1, 1],
        [2, 1],
        [3, 1],
      ],
    },
    {
      tag: 0x0004,
      type: "rational",
      value: [
        [4, 1],
        [5, 1],
        [6, 1],
      ],
    },
  ],
};
const EXPECTED = {
  make: "Lamplight",
  model: "Gallery 2",
  orientation: 6,
  exposureTimeS: 1 / 60,
  fNumber: 8,
  iso: 200,
  capturedAt: "2026-05-01T14:03:22",
  hasLocation: true,
};

let folder: string;
let parts: RawParts;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "goodgate-"));
  parts = {
    exif,
    preview: await jpeg(textured(480, 360)),
    thumbnail: await jpeg(textured(160, 120)),
  };
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const read = (name: string, bytes: Uint8Array): Promise<PhotoResult> => {
  writeFileSync(join(folder, name), bytes);
  return readPhoto({ file: name, path: join(folder, name) }, noStore);
};

const formats: readonly (readonly [extension: string, make: (parts: RawParts) => Uint8Array])[] = [
  ["dng", dng],
  ["cr2", cr2],
  ["cr3", cr3],
  ["nef", nef],
  ["arw", arw],
  ["orf", orf],
  ["rw2", rw2],
  ["raf", ({ preview }) => raf({ preview: jpegWithExif(preview, exifBlock(exif)) })],
];

describe.each(formats)("a minimal %s file", (extension, make) => {
  it("is known as raw", () => {
    expect(kindOf(`jug.${extension}`, make(parts))).toBe("raw");
  });

  it("gives its largest JPEG and the EXIF of the file", async () => {
    const { preview, whole, exif: found } = await openRaw(make(parts));
    expect(preview && jpegFrame(preview)).toEqual({ width: 480, height: 360 });
    expect(whole).toBe(true);
    expect(found).toMatchObject(EXPECTED);
  });

  it("is measured by its preview, turned once by the file's own orientation", async () => {
    const result = await read(`jug.${extension}`, make(parts));
    expect(result).toMatchObject({ facts: { widthPx: 360, heightPx: 480, rawPreview: { whole: true } } });
  });

  it("that ends early says so, or is judged by what is left of it and marked", async () => {
    const bytes = make(parts);
    const { preview, whole } = await openRaw(bytes.subarray(0, bytes.length - 100));
    const frame = preview && jpegFrame(preview);
    // Where only the maker's notes tell of the preview, nothing declares it, and decoding it finds that it ends early.
    if (extension !== "orf") expect([whole, frame?.width ?? 0]).toEqual([false, expect.any(Number)]);
    if (extension === "orf") {
      expect(await read("cut.orf", bytes.subarray(0, bytes.length - 100))).toMatchObject({
        unreadable: { reason: "the file ends early or is damaged" },
      });
    }
  });
});

describe("a raw file", () => {
  it("without a preview is not measured, and not called damaged", async () => {
    const bytes = exifBlock({ ...exif, ifd0: exif.ifd0 ?? [] });
    expect(await read("bare.dng", bytes)).toEqual({ unsupported: { file: "bare.dng", kind: "raw" } });
  });

  it("that is empty, text or noise says so", async () => {
    const reason = async (bytes: Uint8Array) => {
      const result = await read("jug.dng", bytes);
      return "unreadable" in result ? result.unreadable.reason : "read";
    };
    expect(await reason(new Uint8Array(0))).toBe("the file is empty");
    expect(await reason(Buffer.from("jug, lamp, toad"))).toContain("it is a text file");
    expect(await reason(new Uint8Array(600).fill(3))).toContain("no known kind of photo");
  });

  it("of raw data that is itself a lossless JPEG is not taken for a preview", async () => {
    const lossless = Uint8Array.from(parts.preview);
    const frameAt = Buffer.from(lossless).indexOf(Buffer.from([0xff, 0xc0]));
    lossless[frameAt + 1] = 0xc3;
    const { preview } = await openRaw(dng({ ...parts, preview: lossless }));
    expect(preview && jpegFrame(preview)).toEqual({ width: 160, height: 120 });
  });

  it("with directories that point at themselves comes to an end", async () => {
    const block = exifBlock({ ifd0: [{ tag: 0x14a, type: "long", value: [8, 8, 8] }] });
    new DataView(block.buffer).setUint32(8 + 2 + 12, 8, true);
    expect(await openRaw(block)).toMatchObject({ whole: true });
  });

  it("of random bytes never throws", async () => {
    for (const [, make] of formats) {
      const whole = make(parts);
      for (let i = 0; i < 12; i++) {
        const damaged = Uint8Array.from(whole);
        for (let k = 0; k < 8; k++)
          damaged[(i * 977 + k * 7919) % Math.min(400, whole.length)] = (31 * i + k) & 255;
        await openRaw(damaged.subarray(0, whole.length - i * 10));
      }
    }
  });
});

describeWithData("real raw files", () => {
  it("a CR3 gives the preview of 1620 x 1080 px, and is found to lack its raw picture", async () => {
    const { preview, whole } = await openRaw(dataBytes("exiv2", "Canon-R6-pruned.CR3"));
    expect(preview && jpegFrame(preview)).toEqual({ width: 1620, height: 1080 });
    expect(whole).toBe(false);
    const path = dataPath("exiv2", "Canon-R6-pruned.CR3");
    expect(await readPhoto({ file: "a.cr3", path }, noStore)).toMatchObject({
      facts: { widthPx: 1620, heightPx: 1080, rawPreview: { whole: false } },
    });
  });

  it("a DNG cut behind its directories ends early", async () => {
    const path = dataPath("exiv2", "IMG_1361.dng");
    expect(await readPhoto({ file: "a.dng", path }, noStore)).toMatchObject({
      unreadable: { reason: "the file ends early or is damaged" },
    });
  });

  it("a phone's DNG with pixels put back where it declares them gives them, upright", async () => {
    // Its directories declare 5,364,435 bytes of preview right behind the 64,104 bytes that are there.
    const head = dataBytes("exiv2", "IMG_1361.dng");
    const bytes = new Uint8Array(head.length + 5_364_435);
    bytes.set(head);
    bytes.set(parts.preview, head.length);
    expect(await read("back.dng", bytes)).toMatchObject({
      facts: {
        widthPx: 360,
        heightPx: 480,
        rawPreview: { whole: false },
        exif: { model: "iPhone 12 Pro", iso: 32, orientation: 6 },
      },
    });
  });
});
