import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { readExif } from "#goodgate/gather/exif.js";
import { kindOf } from "#goodgate/gather/kind.js";
import { openRaw } from "#goodgate/gather/raw/raw.js";
import expected from "../../fixtures/exif/expected.json" with { type: "json" };
import { dataFolder, describeWithData } from "../support/data.js";

type Found = Record<string, string | number>;
const files = expected.files as unknown as Record<string, Found>;

/** Files where we and exiftool differ, tag by tag, and why. */
const BAD_DIRECTORY =
  "hostile file: the directory declares more entries than it has; exiftool drops it, we keep what can be read";
const GOEXIF = "deb/usr/share/gocode/src/github.com/rwcarlsen/goexif/exif/samples";
const MAKER_TIME =
  "exiftool's sum takes the finer exposure time of the maker's own tags (0.00671 for 0.00625 s, 0.00213 for 0.002 s)";
const EXCEPTIONS: Readonly<Record<string, { readonly fields: readonly string[]; readonly why: string }>> = {
  [`${GOEXIF}/2007-08-15-14-42-46-sep-2007-08-15-14-42-46a.jpg`]: { fields: ["ev100"], why: MAKER_TIME },
  [`${GOEXIF}/2009-06-20-07-59-05-sep-2009-06-20-07-59-05a.jpg`]: { fields: ["ev100"], why: MAKER_TIME },
  "src/exiv2/test/data/IMGP0006-min.jpg": { fields: ["make"], why: BAD_DIRECTORY },
  "src/exiv2/test/data/heap-oob-write.tiff": { fields: ["orientation"], why: BAD_DIRECTORY },
  "src/exiv2/test/data/issue_1881_coverage.jpg": {
    fields: ["exposureTimeS", "flashFired", "focalLengthMm"],
    why: BAD_DIRECTORY,
  },
  "src/pillow/Tests/images/hopper_bad_exif.jpg": { fields: ["orientation"], why: BAD_DIRECTORY },
  "src/exiv2/test/data/pocIssue283.jpg": {
    fields: ["make"],
    why: "hostile file: it starts as a raw file of one maker does, so it is no photo of a kind read here",
  },
  "src/exiv2/test/data/test_issue_1472.jpg": {
    fields: [
      "capturedAt",
      "digitalZoom",
      "ev100",
      "exposureMode",
      "exposureTimeS",
      "fNumber",
      "flashFired",
      "focalLength35Mm",
      "focalLengthMm",
      "iso",
      "make",
      "model",
      "orientation",
      "whiteBalance",
    ],
    why: "no JPEG: a container for metadata alone, without a picture; reading it as a photo reports that",
  },
  "src/pillow/Tests/images/hopper_bigtiff.tif": {
    fields: ["orientation"],
    why: "a TIFF with 64-bit offsets, which no camera writes; its pixels are read",
  },
};

const number = (value: unknown): number | undefined =>
  typeof value === "number" && Number.isFinite(value) ? value : undefined;
const positive = (value: unknown): number | undefined => {
  const found = number(value);
  return found !== undefined && found > 0 ? found : undefined;
};
const text = (value: unknown): string | undefined => {
  const clean =
    value === undefined
      ? ""
      : String(value)
          .replace(/[\u0000-\u001f\u007f-\u009f]/g, "")
          .trim();
  return clean === "" ? undefined : clean;
};
const oneOf = <T>(value: unknown, names: readonly T[]): T | undefined => names[number(value) ?? -1];

/** exiftool's raw values as our fields: sentinels and impossible values are absent, nothing else is changed. */
function fieldsOf(found: Found): Record<string, unknown> {
  const tag = (name: string): string | number | undefined =>
    found[`ExifIFD:${name}`] ?? found[`IFD0:${name}`];
  const date = /^(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)/.exec(String(tag("DateTimeOriginal") ?? ""));
  const real = date !== null && date[1] !== "0000" && date[2] !== "00" && date[3] !== "00";
  const subSec = text(tag("SubSecTimeOriginal"));
  const zone = text(tag("OffsetTimeOriginal"));
  const iso = positive(Number.parseFloat(String(tag("ISO") ?? "")));
  // exiftool takes a maker's own tags where the standard ones are absent; we do not.
  const time = positive(tag("ExposureTime")) ?? number(tag("ShutterSpeedValue"));
  const aperture = positive(tag("FNumber")) ?? number(tag("ApertureValue"));
  const known = iso !== undefined && time !== undefined && aperture !== undefined;
  const fields = {
    make: text(found["IFD0:Make"]),
    model: text(found["IFD0:Model"]),
    lens: text(tag("LensModel")),
    exposureTimeS: positive(tag("ExposureTime")),
    fNumber: positive(tag("FNumber")),
    iso: iso !== undefined && iso <= 1e7 ? iso : undefined,
    ev100: known ? number(found["Composite:LightValue"]) : undefined,
    focalLengthMm: positive(tag("FocalLength")),
    focalLength35Mm: positive(tag("FocalLengthIn35mmFormat")),
    digitalZoom: (positive(tag("DigitalZoomRatio")) ?? 0) >= 1 ? tag("DigitalZoomRatio") : undefined,
    flashFired: (number(tag("Flash")) ?? 128) > 127 ? undefined : Number(tag("Flash")) % 2 === 1,
    exposureMode: oneOf(tag("ExposureMode"), ["auto", "manual", "bracket"]),
    whiteBalance: oneOf(tag("WhiteBalance"), ["auto", "manual"]),
    orientation: oneOf(found["IFD0:Orientation"], [undefined, 1, 2, 3, 4, 5, 6, 7, 8]),
    capturedAt: real
      ? `${date[1]}-${date[2]}-${date[3]}T${date[4]}${subSec ? `.${subSec}` : ""}${zone ?? ""}`
      : undefined,
    hasLocation: found["GPS:GPSLatitude"] === "stored" && found["GPS:GPSLongitude"] === "stored",
  };
  return Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined));
}

/** exiftool prints fractions to 10 significant digits. */
function same(ours: unknown, theirs: unknown): boolean {
  if (typeof ours === "number" && typeof theirs === "number") return Math.abs(ours / theirs - 1) < 1e-9;
  // exiftool prints "?" for bytes that are no UTF-8, we keep the replacement character.
  if (typeof ours === "string") return ours.replaceAll("\ufffd", "?") === theirs;
  return ours === theirs;
}

async function differences(file: string, found: Found): Promise<Record<string, string>> {
  const bytes = new Uint8Array(readFileSync(join(dataFolder() ?? "", file)));
  const ours = kindOf(file, bytes) === "raw" ? (await openRaw(bytes)).exif : await readExif(bytes);
  const theirs = fieldsOf(found);
  const keys = [...new Set([...Object.keys(ours), ...Object.keys(theirs)])].sort();
  return Object.fromEntries(
    keys
      .map((key) => [key, (ours as unknown as Record<string, unknown>)[key], theirs[key]] as const)
      .filter(([, a, b]) => !same(a, b))
      .map(([key, a, b]) => [key, `ours ${JSON.stringify(a)}, exiftool's ${JSON.stringify(b)}`]),
  );
}

describeWithData("EXIF of real photos", () => {
  it("equals exiftool's in every tag of every file, but for the listed exceptions", async () => {
    const wrong: Record<string, unknown> = {};
    for (const [file, found] of Object.entries(files)) {
      const list = await differences(file, found);
      const known = EXCEPTIONS[file]?.fields ?? [];
      // An exception that no longer differs is as wrong as a difference that is not listed.
      if (Object.keys(list).join() !== [...known].sort().join()) wrong[file] = list;
    }
    expect(wrong).toEqual({});
  });

  it("is a comparison over hundreds of files", () => {
    const lists = Object.values(files);
    expect(lists.length).toBeGreaterThan(900);
    expect(lists.filter((found) => Object.keys(found).length > 0).length).toBeGreaterThan(300);
  });
});
