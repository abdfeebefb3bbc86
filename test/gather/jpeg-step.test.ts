import sharp from "sharp";
import { describe, expect, test } from "vitest";
import { jpegStep } from "#goodgate/gather/jpeg-step.js";

const picture = () =>
  sharp({ create: { width: 16, height: 16, channels: 3, background: { r: 90, g: 120, b: 60 } } });

/** The scale that libjpeg puts on the tables of annex K. */
const scaled = (step: number, quality: number) => {
  const percent = quality < 50 ? 5000 / quality : 200 - 2 * quality;
  return Math.min(255, Math.max(1, Math.floor((step * percent + 50) / 100)));
};
/** ITU-T T.81 table K.1 in zigzag order, second to fifteenth. */
const COARSE = [11, 12, 14, 12, 10, 16, 14, 13, 14, 18, 17, 16, 19, 24];

describe("the step of a JPEG file", () => {
  test.each([5, 10, 30, 50, 75, 92])("is that of its quality: %i", async (quality) => {
    const bytes = await picture().jpeg({ quality }).toBuffer();
    const expected = COARSE.reduce((sum, step) => sum + scaled(step, quality), 0) / COARSE.length;
    expect(jpegStep(bytes)).toBeCloseTo(expected, 6);
  });

  test("is found in progressive and grey files, and with EXIF before the tables", async () => {
    const files = [
      await picture().jpeg({ quality: 50, progressive: true }).toBuffer(),
      await picture().greyscale().jpeg({ quality: 50 }).toBuffer(),
      await picture()
        .withExif({ IFD0: { Make: "Prop" } })
        .jpeg({ quality: 50 })
        .toBuffer(),
    ];
    for (const bytes of files) expect(jpegStep(bytes)).toBeCloseTo(15, 6);
  });

  test("is not known of other files, nor where the tables are cut off", async () => {
    expect(jpegStep(await picture().png().toBuffer())).toBeUndefined();
    const bytes = await picture().jpeg().toBuffer();
    for (let length = 0; length < 60; length++) expect(jpegStep(bytes.subarray(0, length))).toBeUndefined();
  });
});
