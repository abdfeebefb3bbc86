import { FEWEST_FOR_MEDIAN } from "../measure/set/photos-around.js";
import type { Exif } from "../types/exif.js";
import type { Facts, PhotoFacts } from "../types/facts.js";
import type { Skipped } from "../types/judgement.js";

/** What a check judges by besides the picture itself. */
export type Need = "camera settings" | "other photos";

/** A photo and as many others as make a median: with fewer no check that compares photos has enough to compare with. */
const FEWEST_TO_COMPARE = 1 + FEWEST_FOR_MEDIAN;

const SETTINGS: readonly (keyof Exif)[] = [
  "exposureTimeS",
  "fNumber",
  "iso",
  "ev100",
  "focalLengthMm",
  "focalLength35Mm",
  "exposureMode",
  "whiteBalance",
];

/** Whether a photo has nothing at all of what is needed, and how that is reported. */
const causes: Readonly<Record<Need, { readonly reason: string; lacks(photo: PhotoFacts): boolean }>> = {
  "camera settings": {
    reason: "camera settings (EXIF) are missing",
    lacks: ({ exif }) => SETTINGS.every((name) => exif[name] === undefined),
  },
  "other photos": {
    reason: "nothing in common with the other photos",
    lacks: ({ measures }) => measures.linkedPhotos.value === 0,
  },
};

/**
 * What a check skipped, reported by the one cause behind it where there is one: a photo that matches no other, or a file without
 * EXIF, is then reported once and not by each check in its own words.
 */
export function byCause(entry: Skipped, needs: readonly Need[], { photos }: Facts): Skipped[] {
  if (needs.includes("other photos") && photos.length < FEWEST_TO_COMPARE)
    return [{ ...entry, photos: [], reason: "too few photos to compare" }];
  if (entry.photos.length === 0) {
    const cause = needs.map((need) => causes[need]).find(({ lacks }) => photos.every(lacks));
    return [cause ? { ...entry, photos: photos.map(({ file }) => file), reason: cause.reason } : entry];
  }
  const named = new Set(entry.photos);
  const filesOf = new Map<string, string[]>();
  for (const photo of photos.filter(({ file }) => named.has(file))) {
    const cause = needs.map((need) => causes[need]).find(({ lacks }) => lacks(photo));
    const reason = cause?.reason ?? entry.reason;
    filesOf.set(reason, [...(filesOf.get(reason) ?? []), photo.file]);
  }
  return [...filesOf].map(([reason, files]) => ({ ...entry, photos: files, reason }));
}
