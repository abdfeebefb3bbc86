/** What checks ask of EXIF. */
import type { Exif } from "../types/exif.js";
import type { Facts, PhotoFacts } from "../types/facts.js";

/** The photos whose EXIF lacks a field. */
export function filesWithout({ photos }: Pick<Facts, "photos">, name: keyof Exif): string[] {
  return photos.filter(({ exif }) => exif[name] === undefined).map(({ file }) => file);
}

/** How far the exposure settings of photos lie apart, stops; undefined where fewer than two are known. */
export function exposureSpread(photos: readonly PhotoFacts[]): number | undefined {
  const values = photos.flatMap(({ exif }) => exif.ev100 ?? []);
  return values.length < 2 ? undefined : Math.max(...values) - Math.min(...values);
}

/**
 * Exposure time over 1 / focal length (35 mm) seconds, the longest that a hand holds still (common practice, no source);
 * undefined where either is not known.
 */
export function handHeldFactor({ exposureTimeS, focalLength35Mm }: Exif): number | undefined {
  return exposureTimeS === undefined || focalLength35Mm === undefined
    ? undefined
    : exposureTimeS * focalLength35Mm;
}
