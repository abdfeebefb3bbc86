import { coverageOf } from "#goodgate/measure/coverage/coverage.js";
import { angleBetweenDirections } from "#goodgate/measure/coverage/directions.js";
import { aroundFacts } from "#goodgate/measure/coverage/facts.js";
import { roundFacts } from "#goodgate/measure/set/round.js";
import type { AroundFacts, AroundPart } from "#goodgate/types/around.js";
import type { Facts } from "#goodgate/types/facts.js";
import { facts, pair, photo } from "./facts.js";

/** A camera by where it stood. */
export interface Stand {
  readonly file: string;
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
}

export interface Around {
  readonly confidence?: number;
  readonly uncertaintyDeg?: number;
  readonly spanDeg?: number;
  readonly turnedSubject?: boolean;
}

/** Facts of one part whose cameras stood there, as the audit would round them. */
export function aroundOf(stands: readonly Stand[], options: Around = {}): AroundFacts {
  return aroundParts([stands], options);
}

/** The same for several parts. */
export function aroundParts(parts: readonly (readonly Stand[])[], options: Around = {}): AroundFacts {
  const { confidence = 0.9, uncertaintyDeg = 0.6, spanDeg = 360, turnedSubject } = options;
  const files = parts.flat().map(({ file }) => file);
  const place = new Map(files.map((file, i) => [file, i]));
  return aroundFacts(
    {
      parts: parts.map((stands) => {
        const cameras = stands.map(({ file, ...where }) => ({
          photo: place.get(file)!,
          ...where,
          uncertaintyDeg,
        }));
        // Two photos have no size to judge a direction by.
        const placed = cameras.length < 3 ? [] : cameras;
        return {
          photos: cameras.map(({ photo }) => photo),
          confidence: placed.length === 0 ? 0 : confidence,
          cameras: placed,
          ...coverageOf(placed, { spanDeg }),
        };
      }),
      unplaced: [],
      focalSource: "exif",
      focalFactor: 1,
      upSource: "photo rolls",
      ...(turnedSubject === undefined ? {} : { turnedSubject }),
    },
    files,
    spanDeg,
  );
}

/** Good photos that stood there, in this order: the further apart they stood, the less they share. */
export function factsAround(
  stands: readonly Stand[],
  options: Around = {},
  change: Partial<Facts> = {},
): Facts {
  const photos = stands.map(({ file }) => photo(file));
  const pairs = stands.slice(1).map((stand, i) =>
    pair(stands[i]!.file, stand.file, {
      supportRatio: Math.max(0, 1 - angleBetweenDirections(stands[i]!, stand) / 60),
    }),
  );
  return roundFacts(facts(photos, { pairs, around: aroundOf(stands, options), ...change }));
}

/** Stands at the given azimuths, named PREFIX_AZIMUTH.jpg. */
export function standsAt(
  azimuthsDeg: readonly number[],
  elevationDeg: number,
  prefix = `at${elevationDeg}`,
): Stand[] {
  return azimuthsDeg.map((azimuthDeg) => ({
    file: `${prefix}_${String(azimuthDeg).padStart(3, "0")}.jpg`,
    azimuthDeg,
    elevationDeg,
  }));
}

/** Azimuths from `fromDeg` on, `stepDeg` apart, short of `toDeg`. */
export function azimuths(stepDeg: number, fromDeg = 0, toDeg = 360): number[] {
  return Array.from({ length: Math.ceil((toDeg - fromDeg) / stepDeg) }, (_, i) => fromDeg + i * stepDeg);
}

/** The only part's band of a name. */
export function partOf(facts: Facts): AroundPart {
  return facts.around.parts[0]!;
}
