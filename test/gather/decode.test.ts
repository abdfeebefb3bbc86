import sharp from "sharp";
import { describe, expect, it } from "vitest";
import { decodePhoto, MAX_MEGAPIXELS } from "#goodgate/gather/decode.js";
import { COPY_AGAIN, UnreadablePhoto } from "#goodgate/gather/errors.js";
import type { RgbImage } from "#goodgate/types/pixels.js";
import { rgb } from "../support/arrays.js";
import { dataBytes, describeWithData } from "../support/data.js";
import { jpeg, png, quarters, textured, tiff, webp } from "../support/pictures.js";

async function reasonOf(bytes: Uint8Array): Promise<string> {
  const error = await decodePhoto(bytes).then(
    (image) => `decoded to ${image.width} x ${image.height}`,
    (thrown: unknown) => thrown,
  );
  expect(error).toBeInstanceOf(UnreadablePhoto);
  return (error as UnreadablePhoto).reason;
}

function largestDifference(a: Pick<RgbImage, "data">, b: Pick<RgbImage, "data">): number {
  expect(a.data.length).toBe(b.data.length);
  return a.data.reduce((most, value, i) => Math.max(most, Math.abs(value - b.data[i])), 0);
}

const raw = ({ width, height, data }: RgbImage, channels: 3 | 4 = 3) =>
  sharp(data, { raw: { width, height, channels } });

describe("decoding", () => {
  it.each([png, webp, tiff])("gives a lossless file's pixels exactly (%o)", async (encode) => {
    const made = quarters();
    const decoded = await decodePhoto(await encode(made));
    expect([decoded.width, decoded.height]).toEqual([made.width, made.height]);
    expect(largestDifference(decoded, made)).toBe(0);
  });

  it("gives a JPEG's pixels within its rounding, progressive or not", async () => {
    const made = quarters();
    expect(largestDifference(await decodePhoto(await jpeg(made)), made)).toBeLessThanOrEqual(6);
    const [baseline, progressive] = await Promise.all([
      decodePhoto(await jpeg(made)),
      decodePhoto(await jpeg(made, { progressive: true })),
    ]);
    expect(largestDifference(baseline, progressive)).toBe(0);
  });

  it("applies none of the eight orientations", async () => {
    const upright = await decodePhoto(await jpeg(quarters()));
    for (let orientation = 1; orientation <= 8; orientation++) {
      const turned = await decodePhoto(await jpeg(quarters(), { orientation }));
      expect([turned.width, turned.height]).toEqual([96, 64]);
      expect(largestDifference(turned, upright)).toBe(0);
    }
  });

  it("makes three equal channels of grey, 8 or 16 bits", async () => {
    const grey = rgb(64, 64, (x) => [4 * x, 4 * x, 4 * x]);
    const eight = new Uint8Array(await raw(grey).toColourspace("b-w").png().toBuffer());
    expect(largestDifference(await decodePhoto(eight), grey)).toBe(0);
    const sixteen = new Uint8Array(await raw(grey).toColourspace("grey16").png().toBuffer());
    expect((await sharp(sixteen).metadata()).depth).toBe("ushort");
    expect(largestDifference(await decodePhoto(sixteen), grey)).toBe(0);
  });

  it("reduces 16-bit colour to 8", async () => {
    const made = quarters();
    const sixteen = new Uint8Array(await raw(made).toColourspace("rgb16").png().toBuffer());
    expect((await sharp(sixteen).metadata()).depth).toBe("ushort");
    expect(largestDifference(await decodePhoto(sixteen), made)).toBe(0);
  });

  it("drops an alpha channel and keeps the colours below it", async () => {
    const { width, height, data } = quarters();
    const rgba = new Uint8Array(width * height * 4);
    for (let i = 0; i < width * height; i++) {
      rgba.set(data.subarray(3 * i, 3 * i + 3), 4 * i);
      rgba[4 * i + 3] = i % 256;
    }
    const bytes = new Uint8Array(await raw({ width, height, data: rgba }, 4).png().toBuffer());
    expect(largestDifference(await decodePhoto(bytes), { data })).toBe(0);
  });

  it("converts CMYK: white stays white, black black, red reddest in red", async () => {
    const bars = rgb(96, 64, (x) => (x < 32 ? [255, 255, 255] : x < 64 ? [0, 0, 0] : [230, 20, 20]));
    const cmyk = new Uint8Array(await raw(bars).toColourspace("cmyk").jpeg({ quality: 95 }).toBuffer());
    expect((await sharp(cmyk).metadata()).space).toBe("cmyk");
    const { data } = await decodePhoto(cmyk);
    const at = (x: number): number[] => [...data.subarray(3 * (96 * 32 + x), 3 * (96 * 32 + x) + 3)];
    expect(Math.min(...at(16))).toBeGreaterThan(240);
    expect(Math.max(...at(48))).toBeLessThan(60);
    expect(at(80)[0]).toBeGreaterThan(at(80)[1] + 100);
  });

  it("takes a JPEG with junk between its segments", async () => {
    const made = await jpeg(quarters());
    const junk = Buffer.concat([made.subarray(0, 2), Buffer.from("junk"), made.subarray(2)]);
    expect(await decodePhoto(junk)).toMatchObject({ width: 96, height: 64 });
  });
});

describe("a file that cannot be decoded", () => {
  it("that is empty says so", async () => {
    expect(await reasonOf(new Uint8Array(0))).toBe("the file is empty");
  });

  it("that is text says so", async () => {
    const text = Buffer.from("Props for act two: stoneware jug, brass lamp, carved toad.\n");
    expect(await reasonOf(text)).toBe("it is a text file, not a photo");
  });

  it("that is noise says so", async () => {
    expect(await reasonOf(Uint8Array.from({ length: 600 }, (_, i) => (i * 37) % 251))).toContain(
      "no known kind",
    );
  });

  it.each([jpeg, png, webp, tiff])(
    "that ends early is refused while a pixel is missing (%o)",
    async (encode) => {
      const whole = await encode(textured(256, 192));
      for (const share of [0.001, 0.01, 0.1, 0.3, 0.6, 0.9, 0.98]) {
        const cut = whole.subarray(0, Math.max(12, Math.floor(whole.length * share)));
        await expect(decodePhoto(cut)).rejects.toMatchObject({ wayOut: COPY_AGAIN });
      }
    },
  );

  it("that ends early after its start says so", async () => {
    const whole = await jpeg(textured());
    expect(await reasonOf(whole.subarray(0, whole.length - 500))).toBe("the file ends early or is damaged");
  });

  it("with overwritten picture data is refused, though it decodes", async () => {
    const whole = await jpeg(textured());
    const damaged = Uint8Array.from(whole);
    damaged.fill(0xff, whole.length >> 1, (whole.length >> 1) + 64);
    expect(await reasonOf(damaged)).toBe("its picture data is damaged");
  });

  it("that declares a huge size is refused before any pixel is made", async () => {
    const huge = Uint8Array.from(await png(quarters()));
    const view = new DataView(huge.buffer);
    view.setUint32(16, 60000);
    view.setUint32(20, 60000);
    // The header's checksum, so that the size alone is wrong.
    const { crc32 } = await import("node:zlib");
    view.setUint32(29, crc32(huge.subarray(12, 29)));
    const before = process.memoryUsage().rss;
    expect(await reasonOf(huge)).toBe(
      `it says it is 60000 x 60000 px, more than the ${MAX_MEGAPIXELS} megapixels that are read of this kind`,
    );
    expect(process.memoryUsage().rss - before).toBeLessThan(200 * 2 ** 20);
  });
});

describeWithData("odd files of real people", () => {
  it.each([
    ["libjpegTurbo", "testimgari.jpg", 227, 149, "arithmetic coding"],
    ["pillow", "sugarshack.mpo", 640, 480, "two pictures in one file"],
    ["pillow", "pil_sample_cmyk.jpg", 100, 100, "CMYK"],
    ["pillow", "hopper_gray.jpg", 128, 128, "grey"],
    ["pillow", "tiff_16bit_RGB.tiff", 100, 40, "16 bits"],
    ["pillow", "invalid-exif.jpg", 200, 200, "malformed EXIF"],
    ["pillow", "photoshop-200dpi-broken.jpg", 200, 200, "junk between segments"],
    ["vips", "sample.tif", 290, 442, "16 bits"],
    ["vips", "rotation/6.jpg", 308, 231, "orientation 6, not applied"],
  ] as const)("%s %s is read (%i x %i: %s)", async (place, file, width, height, _why) => {
    const image = await decodePhoto(dataBytes(place, ...file.split("/")));
    expect([image.width, image.height]).toEqual([width, height]);
    expect(image.data.length).toBe(width * height * 3);
  });

  it.each([
    ["vips", "truncated.jpg", "the file ends early or is damaged"],
    ["pillow", "truncated_jpeg.jpg", "the file ends early or is damaged"],
    ["pillow", "truncated_image.png", "the file ends early or is damaged"],
    ["pillow", "broken_data_stream.png", "the file ends early or is damaged"],
    ["skimage", "truncated.jpg", "the file ends early or is damaged"],
    ["libjpegTurbo", "testorig12.jpg", "it has more than 8 bits a sample, which is not read here"],
    ["pillow", "tiff_tiled_planar_lzw.tiff", "it is stored in a way that is not read here"],
    ["exiv2", "test_issue_1472.jpg", "its content is no known kind of photo"],
  ] as const)("%s %s is refused: %s", async (place, file, reason) => {
    expect(await reasonOf(dataBytes(place, file))).toBe(reason);
  });
});
