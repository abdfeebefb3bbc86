import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { readExif } from "#goodgate/gather/exif.js";
import { kindOf } from "#goodgate/gather/kind.js";
import { openRaw } from "#goodgate/gather/raw/raw.js";
import expected from "../../fixtures/exif/expected.json" with { type: "json" };
import { dataFolder, describeWithData } from "../support/data.js";
import { EXCEPTIONS } from "../support/exif-exceptions.js";

type Found = Record<string, string | number>;
const files = expected.files as unknown as Record<string, Found>;

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
    // The largest numerator stands for infinity.
    subjectDistanceM: (positive(tag("SubjectDistance")) ?? 1e9) <= 1000 ? tag("SubjectDistance") : undefined,
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
