import type { ExposureSource } from "../../types/light.js";
import { median } from "../statistics.js";

/** What is known of how a photo was exposed. */
export interface Exposed {
  /** Exposure value at ISO 100 by EXIF, stops. */
  readonly ev100?: number | undefined;
  /** Brightness of the surface shared with other photos, against the set, stops; see measure/set/solved.ts. */
  readonly exposureOffsetStops?: number | undefined;
}

export interface RemovedExposure {
  readonly source: ExposureSource;
  /** How much brighter each photo is than the set by its exposure alone, stops; undefined where unknown. */
  readonly stops: readonly (number | undefined)[];
}

/**
 * Spread up to which EXIF is believed, stops: what is left of the shared surface's brightness once the stated exposure is
 * taken out. A phone that brightens each picture to its own taste leaves more, and the shared surface knows better.
 */
const BELIEVED_SPREAD = 0.15;

/** The median absolute deviation of normal errors of deviation 1. */
const NORMAL_MAD = 0.6745;

/**
 * How each photo's exposure made it brighter or darker, to be taken out before sides of the subject are compared.
 *
 * EXIF knows where it is complete and does not contradict the photos. Elsewhere the shared surface does: what two photos
 * both show is lit the same in both, as long as lamps and subject stand still, so that any change of it is exposure.
 * What differs between different surfaces stays in the photos: that is light, and the subject's own colour.
 */
export function exposureToRemove(photos: readonly Exposed[]): RemovedExposure {
  const offsets = photos.map(({ exposureOffsetStops }) => exposureOffsetStops);
  const left = unexplainedStops(photos);
  if (photos.some(({ ev100 }) => ev100 === undefined) || spreadOf(left) > BELIEVED_SPREAD) {
    return { source: "matched surface", stops: offsets };
  }
  const middle = median(photos.map(({ ev100 }) => ev100!));
  return { source: "exif", stops: photos.map(({ ev100 }) => middle - ev100!) };
}

/**
 * Change of the shared surface's brightness that the stated exposure does not explain, stops against the set's median;
 * undefined where either is unknown. Where EXIF is right, this is change of the light itself.
 */
export function unexplainedStops(photos: readonly Exposed[]): (number | undefined)[] {
  const raw = photos.map(({ ev100, exposureOffsetStops }) =>
    ev100 === undefined || exposureOffsetStops === undefined ? undefined : exposureOffsetStops + ev100,
  );
  const known = raw.filter((value) => value !== undefined);
  if (known.length === 0) return raw;
  const middle = median(known);
  return raw.map((value) => (value === undefined ? undefined : value - middle));
}

/** Standard deviation by the median absolute deviation; 0 without values. */
function spreadOf(values: readonly (number | undefined)[]): number {
  const known = values.filter((value) => value !== undefined);
  if (known.length === 0) return 0;
  const middle = median(known);
  return median(known.map((value) => Math.abs(value - middle))) / NORMAL_MAD;
}
