import { CONTROLS } from "../controls.js";
import type { Exif } from "../types/exif.js";
import { findExifBlock } from "./exif-block.js";
import { readDirectory, readTagBlocks, Tag, type TagBlocks } from "./exif-tags.js";

/**
 * What a photo's EXIF says. A tag that is absent, malformed or out of range is an absent field: an exposure
 * time of 0/0, a focal length of -1, a 35 mm focal length of 0, a digital zoom of 0 or n/0.
 * @param bytes a whole JPEG, PNG, WebP, TIFF, HEIC or AVIF file; anything else gives `{ hasLocation: false }`
 * @returns what could be read; malformed EXIF never rejects
 * @see Exif 2.32 (CIPA DC-008-2019), from memory; enumerations as in Exiv2's src/tags_int.cpp
 */
export async function readExif(bytes: Uint8Array): Promise<Exif> {
  const block = findExifBlock(bytes);
  return block === undefined ? { hasLocation: false } : readExifBlock(block);
}

/**
 * The same for a bare EXIF block.
 * @param block bytes that start with a TIFF header
 */
export async function readExifBlock(block: Uint8Array): Promise<Exif> {
  return exifOf(await readTagBlocks(block));
}

/** The same for directories that each stand alone behind a TIFF header, as in a CR3 file. */
export async function readExifBlocks(blocks: {
  readonly ifd0?: Uint8Array;
  readonly exif?: Uint8Array;
  readonly gps?: Uint8Array;
}): Promise<Exif> {
  const [ifd0, exif, gps] = await Promise.all(
    (["ifd0", "exif", "gps"] as const).map((name) => readDirectory(blocks[name], name)),
  );
  return exifOf({ ifd0, exif, gps });
}

/** Maps raw tag values to {@link Exif}; pure. */
function exifOf({ ifd0, exif, gps }: TagBlocks): Exif {
  // A few writers put the exposure tags into the first directory.
  const raw = (tag: number): unknown => exif.get(tag) ?? ifd0.get(tag);
  const exposureTimeS = positive(raw(Tag.exposureTime));
  const fNumber = positive(raw(Tag.fNumber));
  const iso = sensitivity(raw);
  return defined({
    make: text(ifd0.get(Tag.make)),
    model: text(ifd0.get(Tag.model)),
    lens: text(raw(Tag.lensModel)),
    exposureTimeS,
    fNumber,
    iso,
    ev100: ev100({
      exposureTimeS,
      fNumber,
      iso,
      timeValue: finite(raw(Tag.shutterSpeedValue)),
      apertureValue: finite(raw(Tag.apertureValue)),
    }),
    focalLengthMm: positive(raw(Tag.focalLength)),
    focalLength35Mm: positive(raw(Tag.focalLength35)),
    subjectDistanceM: subjectDistance(raw(Tag.subjectDistance)),
    digitalZoom: atLeastOne(raw(Tag.digitalZoom)),
    flashFired: flashFired(raw(Tag.flash)),
    exposureMode: choice(raw(Tag.exposureMode), ["auto", "manual", "bracket"] as const),
    whiteBalance: choice(raw(Tag.whiteBalance), ["auto", "manual"] as const),
    orientation: orientation(ifd0.get(Tag.orientation)),
    capturedAt: capturedAt(raw(Tag.dateTimeOriginal), raw(Tag.subSecOriginal), raw(Tag.offsetOriginal)),
    hasLocation: isCoordinate(gps.get(Tag.gpsLatitude)) && isCoordinate(gps.get(Tag.gpsLongitude)),
  });
}

/** Drops the keys whose value is undefined, so that an absent field is absent in JSON and in comparisons. */
function defined(fields: { [K in keyof Exif]: Exif[K] | undefined } & { hasLocation: boolean }): Exif {
  return Object.fromEntries(
    Object.entries(fields).filter(([, value]) => value !== undefined),
  ) as unknown as Exif;
}

/** A tag's one number; the first where a writer stored several. */
function finite(value: unknown): number | undefined {
  const first = isList(value) ? value[0] : value;
  return typeof first === "number" && Number.isFinite(first) ? first : undefined;
}

function positive(value: unknown): number | undefined {
  const number = finite(value);
  return number !== undefined && number > 0 ? number : undefined;
}

function atLeastOne(value: unknown): number | undefined {
  const number = finite(value);
  return number !== undefined && number >= 1 ? number : undefined;
}

/** Farther than anything a prop is photographed from, m: numerator FFFFFFFF stands for infinity (Exiv2, tags_int.cpp). */
const MAX_DISTANCE_M = 1000;

/** Metres; numerator 0 stands for unknown. */
function subjectDistance(value: unknown): number | undefined {
  const metres = positive(value);
  return metres !== undefined && metres <= MAX_DISTANCE_M ? metres : undefined;
}

function isList(value: unknown): value is ArrayLike<unknown> {
  return Array.isArray(value) || (ArrayBuffer.isView(value) && !(value instanceof DataView));
}

/** An EXIF string made clean: cut at the first NUL, control characters out, white space trimmed; absent if empty. */
function text(value: unknown): string | undefined {
  if (typeof value !== "string") return undefined;
  const clean = value.split("\0", 1)[0].replace(CONTROLS, "").trim();
  return clean === "" ? undefined : clean;
}

/** The 16-bit tag says 65535 for "look at the 32-bit ones": SensitivityType tells which of those holds. */
const ISO_OVERFLOW = 65535;

/** SensitivityType (Exif 2.3, from memory): 1 SOS, 2 REI, 3 ISO speed, 4 SOS and REI, 5 SOS and ISO, 6 REI and ISO, 7 all. */
const SENSITIVITY_TAGS: Readonly<Record<number, number>> = {
  1: Tag.standardOutput,
  2: Tag.recommendedIndex,
  3: Tag.isoSpeed,
  4: Tag.recommendedIndex,
  5: Tag.isoSpeed,
  6: Tag.isoSpeed,
  7: Tag.isoSpeed,
};

/** Twice the highest sensitivity any camera has offered (4,560,000; from memory); beyond lie "unknown" marks. */
const MAX_ISO = 1e7;

function sensitivity(raw: (tag: number) => unknown): number | undefined {
  const within = (tag: number): number | undefined => {
    const value = positive(raw(tag));
    return value !== undefined && value <= MAX_ISO ? value : undefined;
  };
  const plain = within(Tag.iso);
  if (plain !== undefined && plain < ISO_OVERFLOW) return plain;
  const named = SENSITIVITY_TAGS[finite(raw(Tag.sensitivityType)) ?? 0];
  const candidates = [named ?? Tag.recommendedIndex, Tag.recommendedIndex, Tag.standardOutput, Tag.isoSpeed];
  return candidates.map(within).find((value) => value !== undefined) ?? plain;
}

/** What the exposure value is worked out from; any part may be absent. */
export interface ExposureTags {
  readonly exposureTimeS?: number | undefined;
  readonly fNumber?: number | undefined;
  readonly iso?: number | undefined;
  /** APEX time value Tv = -log2(t), stops: used where the exposure time is absent. */
  readonly timeValue?: number | undefined;
  /** APEX aperture value Av = 2 log2(N), stops: used where the f-number is absent. */
  readonly apertureValue?: number | undefined;
}

/** A thousandth of a microsecond and ten days: APEX values beyond are damage, not exposure. */
const MAX_TIME_STOPS = 20;
/** f/1024 and, below, f/0.5. */
const MAX_APERTURE_STOPS = 20;

/**
 * Exposure value at ISO 100, stops: log2(N^2 / t) - log2(ISO / 100). Higher is less light let in.
 * @returns undefined where aperture, time or sensitivity is unknown
 * @see Kerr 2007, The APEX Additive System of Photographic Exposure: Ev = Av + Tv
 */
export function ev100(tags: ExposureTags): number | undefined {
  const { exposureTimeS, fNumber, iso, timeValue, apertureValue } = tags;
  const time = exposureTimeS !== undefined ? -Math.log2(exposureTimeS) : within(timeValue, MAX_TIME_STOPS);
  const aperture = fNumber !== undefined ? 2 * Math.log2(fNumber) : within(apertureValue, MAX_APERTURE_STOPS);
  if (time === undefined || aperture === undefined || iso === undefined) return undefined;
  return aperture + time - Math.log2(iso / 100);
}

function within(value: number | undefined, most: number): number | undefined {
  return value !== undefined && Math.abs(value) <= most ? value : undefined;
}

/** Seven bits are defined; more is a mark for "unknown" (65535), not a flash. */
const MAX_FLASH = 0x7f;

/** Bit 0 of the flash tag; the others tell of strobe return, mode and red-eye reduction. */
function flashFired(value: unknown): boolean | undefined {
  const number = finite(value);
  if (number === undefined || !Number.isInteger(number) || number < 0 || number > MAX_FLASH) return undefined;
  return number % 2 === 1;
}

function choice<T>(value: unknown, names: readonly T[]): T | undefined {
  const number = finite(value);
  return number === undefined ? undefined : names[number];
}

function orientation(value: unknown): number | undefined {
  const number = finite(value);
  return number !== undefined && Number.isInteger(number) && number >= 1 && number <= 8 ? number : undefined;
}

/**
 * Local capture time as stored, put into ISO 8601; no clock and no time zone of this machine takes part.
 * @returns undefined for a date that is not in the calendar, such as 0000:00:00
 */
function capturedAt(date: unknown, subSec: unknown, offset: unknown): string | undefined {
  // A few writers use "-", "/" or "." for ":", or "T" for the space.
  const parts = /^\s*(\d{4})[:\-/.](\d\d)[:\-/.](\d\d)[ T](\d\d):(\d\d):(\d\d)/.exec(text(date) ?? "");
  if (parts === null) return undefined;
  const [year, month, day, hour, minute, second] = parts.slice(1).map(Number);
  const calendar = new Date(Date.UTC(year, month - 1, day));
  const exists = year > 0 && calendar.getUTCMonth() === month - 1 && calendar.getUTCDate() === day;
  // 60 is a leap second's place.
  if (!exists || hour > 23 || minute > 59 || second > 59) return undefined;
  const local = `${parts[1]}-${parts[2]}-${parts[3]}T${parts[4]}:${parts[5]}:${parts[6]}`;
  const digits = /^\d+/.exec(text(subSec) ?? "")?.[0];
  const zone = /^[+-](?:0\d|1[0-4]):[0-5]\d$/.exec(text(offset) ?? "")?.[0];
  return `${local}${digits === undefined ? "" : `.${digits}`}${zone ?? ""}`;
}

/** Degrees as numbers, or as text, which a few programs write: a place stands in the file either way. */
function isCoordinate(value: unknown): boolean {
  return finite(value) !== undefined || /\d/.test(text(value) ?? "");
}
