import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import exifr from "exifr";
import sharp from "sharp";
import { describe, expect, test } from "vitest";
import { encodePhoto, exifTags, storedImage } from "#goodgate/demo/encode.js";
import { exifSegment, spliceSegment } from "#goodgate/demo/exif.js";
import { cleanDemo, type Fault, type SetOptions } from "#goodgate/demo/options.js";
import { type PhotoPlan, planSet } from "#goodgate/demo/plan.js";
import type { RgbImage } from "#goodgate/types/pixels.js";

const small: SetOptions = {
  ...cleanDemo,
  widthPx: 64,
  heightPx: 48,
  portraitShare: 0,
  rings: [{ elevationDeg: 20, photos: 4, startDeg: 0, spanDeg: 360 }],
};

const grey: RgbImage = { width: 64, height: 48, data: new Uint8Array(64 * 48 * 3).fill(120) };

function photoWith(...faults: readonly Fault[]): { options: SetOptions; photo: PhotoPlan } {
  const options = { ...small, faults: faults.map((fault) => ({ photo: 1, fault })) };
  return { options, photo: planSet(options).photos[1] };
}

async function jpegWith(...faults: readonly Fault[]): Promise<Uint8Array> {
  const { options, photo } = photoWith(...faults);
  return encodePhoto(options, photo, grey);
}

const hasExiftool = ((): boolean => {
  try {
    execFileSync("exiftool", ["-ver"], { stdio: "pipe" });
    return true;
  } catch {
    return false;
  }
})();

function readWithExiftool(jpeg: Uint8Array): Record<string, unknown> {
  const folder = mkdtempSync(join(tmpdir(), "goodgate-exif-"));
  try {
    const file = join(folder, "photo.jpg");
    writeFileSync(file, jpeg);
    return JSON.parse(
      execFileSync("exiftool", ["-json", "-n", "-validate", "-warning", "-all", file], { encoding: "utf8" }),
    )[0];
  } finally {
    rmSync(folder, { recursive: true });
  }
}

describe("EXIF of a demo photo", () => {
  test("exifr reads back what was written", async () => {
    const tags = await exifr.parse(await jpegWith(), { translateValues: false, reviveValues: false });
    expect(tags).toMatchObject({
      Make: "Limelight",
      Model: "Prompt 3",
      Orientation: 1,
      FNumber: 1.8,
      ISO: 125,
      FocalLengthIn35mmFormat: 28,
      ExposureMode: 1,
      WhiteBalance: 1,
      Flash: 16,
      ExifImageWidth: 64,
      ExifImageHeight: 48,
      OffsetTimeOriginal: "+02:00",
    });
    expect(tags.ExposureTime).toBeCloseTo(1 / 60, 9);
    expect(tags.FocalLength).toBeCloseTo(28 / 6.2, 3);
    expect(tags.latitude).toBeUndefined();
  });

  test.skipIf(!hasExiftool)(
    "exiftool reads back what was written and finds nothing wrong with it",
    async () => {
      const { options, photo } = photoWith({ kind: "location" }, { kind: "zoom", factor: 2, digital: true });
      const tags = readWithExiftool(await encodePhoto(options, photo, grey));
      expect(tags).toMatchObject({
        Make: "Limelight",
        Model: "Prompt 3",
        FNumber: 1.8,
        ISO: 125,
        ExposureProgram: 1,
        DigitalZoomRatio: 2,
        FocalLengthIn35mmFormat: 56,
        ExifVersion: "0232",
        OffsetTimeOriginal: "+02:00",
      });
      expect(tags.Validate).toMatch(/^0 0 0/);
      expect(tags.Warning).toBeUndefined();
      expect(tags.GPSLatitude).toBeCloseTo(-42.5, 6);
      expect(tags.GPSLongitude).toBeCloseTo(-20.25, 6);
      const wall = new Date(photo.capturedMs)
        .toISOString()
        .slice(0, 22)
        .replaceAll("-", ":")
        .replace("T", " ");
      expect(String(tags.SubSecDateTimeOriginal)).toBe(`${wall}+02:00`);
    },
  );

  test("a stored location is on the open sea, and there only when asked for", async () => {
    const place = await exifr.gps(Buffer.from(await jpegWith({ kind: "location" })));
    expect(place.latitude).toBeCloseTo(-42.5, 6);
    expect(place.longitude).toBeCloseTo(-20.25, 6);
    expect(await exifr.gps(Buffer.from(await jpegWith()))).toBeUndefined();
  });

  test("an exposure step shows in the exposure time only where EXIF says so", () => {
    const time = (said: boolean): number => {
      const { options, photo } = photoWith({ kind: "exposure", stops: 1, said });
      return exifTags(options, photo).exposureTimeS;
    };
    expect(time(true)).toBeCloseTo(1 / 30, 9);
    expect(time(false)).toBeCloseTo(1 / 60, 9);
  });

  test("optical zoom is in the focal length, digital zoom in its own tag", () => {
    const tags = (digital: boolean) => {
      const { options, photo } = photoWith({ kind: "zoom", factor: 2, digital });
      return exifTags(options, photo);
    };
    expect(tags(false)).toMatchObject({ focalLengthMm: 56 / 6.2, focalLength35Mm: 56 });
    expect(tags(false).digitalZoom).toBeUndefined();
    expect(tags(true)).toMatchObject({ focalLengthMm: 28 / 6.2, focalLength35Mm: 56, digitalZoom: 2 });
  });

  test("higher sensitivity shortens the exposure in step", () => {
    const { options, photo } = photoWith({ kind: "noise", iso: 2000 });
    expect(exifTags(options, photo)).toMatchObject({ iso: 2000, exposureTimeS: 1 / 960 });
  });

  test("a set without EXIF has no APP1 segment", async () => {
    const { options, photo } = photoWith();
    const jpeg = await encodePhoto({ ...options, exif: "none" }, photo, grey);
    expect((await sharp(jpeg).metadata()).exif).toBeUndefined();
  });

  test("the segment takes the place of the JFIF header", () => {
    const { options, photo } = photoWith();
    const segment = exifSegment(exifTags(options, photo));
    const jfif = Uint8Array.of(0xff, 0xd8, 0xff, 0xe0, 0, 4, 1, 2, 0xff, 0xdb);
    const out = spliceSegment(jfif, segment);
    expect([...out.subarray(0, 4)]).toEqual([0xff, 0xd8, 0xff, 0xe1]);
    expect([...out.subarray(-2)]).toEqual([0xff, 0xdb]);
    expect(out.length).toBe(2 + segment.length + 2);
  });

  test("bytes that are no JPEG are refused", () => {
    expect(() => spliceSegment(Uint8Array.of(0x89, 0x50), new Uint8Array(4))).toThrow(RangeError);
  });
});

describe("a phone held upright", () => {
  const upright: RgbImage = {
    width: 2,
    height: 3,
    data: Uint8Array.from([1, 2, 3, 4, 5, 6].flatMap((value) => [value, value, value])),
  };

  test.each([6, 8] as const)(
    "orientation %i stores the picture on its side, and viewers turn it back",
    async (orientation) => {
      const { width, height, data } = storedImage(upright, orientation);
      expect([width, height]).toEqual([3, 2]);
      const png = await sharp(data, { raw: { width, height, channels: 3 } })
        .withMetadata({ orientation })
        .png()
        .toBuffer();
      const turned = await sharp(png).autoOrient().removeAlpha().raw().toBuffer({ resolveWithObject: true });
      expect([turned.info.width, turned.info.height]).toEqual([2, 3]);
      expect([...turned.data]).toEqual([...upright.data]);
    },
  );
});
