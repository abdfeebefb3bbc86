import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import sharp from "sharp";
import { describe, expect, it } from "vitest";
import { decodePhoto } from "#goodgate/gather/decode.js";
import { decodeHevc } from "#goodgate/gather/decode-hevc.js";
import { readExif } from "#goodgate/gather/exif.js";
import { kindFromBytes } from "#goodgate/gather/kind.js";
import { readPhoto } from "#goodgate/pipeline/read-photo.js";
import { dataBytes, dataPath, describeWithData } from "../support/data.js";
import { quarters } from "../support/pictures.js";
import { noStore } from "../support/store.js";

const { width, height, data } = quarters(128, 96);
const avif = async (): Promise<Uint8Array> =>
  new Uint8Array(
    await sharp(data, { raw: { width, height, channels: 3 } })
      .withExif({ IFD0: { Make: "Lamplight" }, IFD2: { ISOSpeedRatings: "200" } })
      .avif({ quality: 90, effort: 0 })
      .toBuffer(),
  );

describe("an AVIF", () => {
  it("is known by its content, read with its EXIF, and measured", async () => {
    const bytes = await avif();
    expect(kindFromBytes(bytes)).toBe("heic");
    expect(await decodePhoto(bytes)).toMatchObject({ width, height });
    expect(await readExif(bytes)).toMatchObject({ make: "Lamplight", iso: 200 });
  });

  it("that ends early is refused", async () => {
    const bytes = await avif();
    for (const share of [0.2, 0.6, 0.95]) {
      const cut = bytes.subarray(0, Math.floor(share * bytes.length));
      await expect(decodePhoto(cut)).rejects.toThrow("copy it again");
    }
  });
});

describe("EXIF of a HEIF file", () => {
  it("that is damaged never throws", async () => {
    const bytes = await avif();
    for (let i = 0; i < 120; i++) {
      const damaged = Uint8Array.from(bytes);
      damaged[16 + ((i * 37) % 400)] = (i * 91) & 255;
      expect(await readExif(damaged)).toHaveProperty("hasLocation");
    }
  });
});

describeWithData("HEIC of real phones", () => {
  it.each([
    ["IMG_3578.heic", 4032, 3024, 1],
    ["2021-02-13-1929.heic", 3024, 4032, 6],
    ["Stonehenge.heic", 300, 200, 1],
  ] as const)(
    "%s is read upright: %i x %i px, whatever its EXIF orientation",
    async (name, w, h, orientation) => {
      const path = dataPath("exiv2", name);
      const result = await readPhoto({ file: name, path }, noStore);
      expect(result).toMatchObject({ facts: { widthPx: w, heightPx: h, exif: { orientation } } });
    },
  );

  it("is judged the same under the name of a JPEG", async () => {
    const folder = mkdtempSync(join(tmpdir(), "goodgate-"));
    try {
      const path = join(folder, "jug.jpg");
      writeFileSync(path, dataBytes("exiv2", "Stonehenge.heic"));
      expect(await readPhoto({ file: "jug.jpg", path }, noStore)).toMatchObject({
        facts: { widthPx: 300, heightPx: 200, exif: { make: "NIKON CORPORATION" } },
      });
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it.each([0.002, 0.1, 0.5, 0.9, 0.9999])("that ends after %f of its bytes is refused", async (share) => {
    const whole = dataBytes("exiv2", "IMG_3578.heic");
    await expect(decodePhoto(whole.subarray(0, Math.floor(share * whole.length)))).rejects.toThrow(
      "the file ends early or is damaged: copy it again",
    );
  });

  it("that declares more than a photo can hold is refused for that", async () => {
    const bytes = Uint8Array.from(dataBytes("exiv2", "Stonehenge.heic"));
    // The number of items in box iloc, a 16-bit number behind its name, version, flags and sizes.
    bytes.fill(0xff, Buffer.from(bytes).indexOf("iloc") + 10, Buffer.from(bytes).indexOf("iloc") + 12);
    await expect(decodeHevc(bytes)).rejects.toMatchObject({
      reason: "it declares more than a photo can hold",
    });
  });

  it("that is hostile is refused, and the next photo is read as before", async () => {
    await expect(decodePhoto(dataBytes("exiv2", "issue_1793_poc.heic"))).rejects.toThrow("copy it again");
    const { data: pixels } = await decodePhoto(dataBytes("exiv2", "Stonehenge.heic"));
    expect(pixels.length).toBe(3 * 300 * 200);
  });
});
