import type { Exif } from "../types/exif.js";
import type { CaptureOrder } from "../types/facts.js";
import { compareNatural } from "./natural.js";

/** What ordering needs of a photo. */
export interface Orderable {
  readonly file: string;
  readonly exif: Pick<Exif, "capturedAt">;
}

export interface Ordered<P> {
  readonly orderedBy: CaptureOrder;
  readonly photos: readonly P[];
}

/** A capture time taken apart: whole seconds as if local time were UTC, the fraction's digits, the offset. */
interface Moment {
  readonly seconds: number;
  readonly fraction: string;
  readonly offsetSeconds: number | undefined;
}

const CAPTURED_AT = /^(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d)(?:\.(\d+))?(?:([+-])(\d\d):(\d\d))?$/;

function parseMoment(capturedAt: string | undefined): Moment | undefined {
  const parts = capturedAt === undefined ? null : CAPTURED_AT.exec(capturedAt);
  if (parts === null) return undefined;
  const [, local, fraction = "", sign, hours, minutes] = parts;
  const size = Number(hours) * 3600 + Number(minutes) * 60;
  return {
    seconds: Date.parse(`${local}Z`) / 1000,
    fraction: fraction.replace(/0+$/, ""),
    offsetSeconds: sign === undefined ? undefined : sign === "-" ? -size : size,
  };
}

/**
 * Photos in the order they were taken: by capture time where every photo has one (ties by natural name), else
 * by natural file name. Where every time carries an offset from UTC the instants are compared; where some lack
 * it, all local times are, since one set is taken in one place.
 * @returns a new array and the order used; never mixes the two, which would put the undated photos anywhere
 */
export function captureOrder<P extends Orderable>(photos: readonly P[]): Ordered<P> {
  const dated = photos.map((photo) => ({ photo, moment: parseMoment(photo.exif.capturedAt) }));
  if (photos.length === 0 || dated.some(({ moment }) => moment === undefined)) {
    return { orderedBy: "file name", photos: [...photos].sort((a, b) => compareNatural(a.file, b.file)) };
  }
  const everyOffset = dated.every(({ moment }) => moment?.offsetSeconds !== undefined);
  const timed = dated.map(({ photo, moment }) => ({
    photo,
    seconds: (moment?.seconds ?? 0) - (everyOffset ? (moment?.offsetSeconds ?? 0) : 0),
    fraction: moment?.fraction ?? "",
  }));
  timed.sort(
    (a, b) =>
      a.seconds - b.seconds ||
      // Digits after the point compare as text: "45" before "5", and "4" before "45".
      (a.fraction < b.fraction ? -1 : a.fraction > b.fraction ? 1 : 0) ||
      compareNatural(a.photo.file, b.photo.file),
  );
  return { orderedBy: "capture time", photos: timed.map(({ photo }) => photo) };
}
