import type { Facts, MeasureName, PhotoFacts } from "../../types/facts.js";
import { median } from "../statistics.js";
import { sharpnessGroup } from "./comparable.js";

/** How many photos a photo is held against: a run of five faulty ones and what else they drag in are outvoted; 16 to 24 do alike. */
const PHOTOS_AROUND = 18;

/** Fewest values that make a median worth holding a photo against: one odd one of three is outvoted. */
export const FEWEST_FOR_MEDIAN = 3;

/** Fewest photos that speak for the set: two odd ones of five are outvoted. */
export const FEWEST_FOR_SET = 5;

/**
 * Each photo's measure less the median of the photos around it, see {@link againstAround}.
 *
 * @returns one a photo; undefined where the photo or too few of those around it have the measure
 */
export function againstNeighbours(facts: Facts, name: MeasureName): (number | undefined)[] {
  return againstAround(
    facts,
    facts.photos.map((photo) => photo.measures[name]?.value),
  );
}

/**
 * Each photo's value less the median of the photos around it: the light and the side of the subject change slowly on the
 * way round, a fault from one photo to the next. Around are those that share some surface, not those before and after:
 * over a gap, or from one ring to the next, values that were carried along the whole chain of photos may lie far apart.
 *
 * @param values one a photo of `facts`
 */
export function againstAround(facts: Facts, values: readonly (number | undefined)[]): (number | undefined)[] {
  const around = photosAround(facts);
  return values.map((value, i) => {
    if (value === undefined) return undefined;
    const others = around[i].flatMap((k) => values[k] ?? []);
    return others.length < FEWEST_FOR_MEDIAN ? undefined : value - median(others);
  });
}

/** Found once for all checks that ask about the same facts. */
const aroundIn = new WeakMap<Facts, readonly (readonly number[])[]>();

/**
 * For each photo those around it, {@link PHOTOS_AROUND} at the most: first those it shares some surface with, then those
 * these do, and so on; among equals those nearest in capture order.
 */
function photosAround(facts: Facts): readonly (readonly number[])[] {
  const known = aroundIn.get(facts) ?? findAround(facts);
  aroundIn.set(facts, known);
  return known;
}

function findAround({ photos, pairs }: Facts): number[][] {
  const place = new Map(photos.map(({ file }, i) => [file, i]));
  const linked = photos.map((): number[] => []);
  for (const { a, b, verifiedMatches } of pairs) {
    const [i, j] = [place.get(a), place.get(b)];
    // Pairs may name photos of another group.
    if (verifiedMatches === 0 || i === undefined || j === undefined) continue;
    linked[i].push(j);
    linked[j].push(i);
  }
  return photos.map((_, i) => {
    const found = new Set([i]);
    for (let ring = [i]; ring.length > 0 && found.size <= PHOTOS_AROUND; ) {
      ring = [...new Set(ring.flatMap((k) => linked[k]))].filter((k) => !found.has(k));
      ring.sort((p, q) => Math.abs(p - i) - Math.abs(q - i) || p - q);
      for (const k of ring.slice(0, PHOTOS_AROUND + 1 - found.size)) found.add(k);
    }
    found.delete(i);
    return [...found];
  });
}

/** Median of a measure over the photos that have it; undefined where too few do. */
export function medianOf(facts: Facts, name: MeasureName): number | undefined {
  const values = facts.photos.flatMap((photo) => photo.measures[name]?.value ?? []);
  return values.length < FEWEST_FOR_MEDIAN ? undefined : median(values);
}

/** Facts with the photos of one group each: those whose sharpness may be compared. */
export function comparableGroups(facts: Facts): Facts[] {
  const groups = new Map<string, PhotoFacts[]>();
  for (const photo of facts.photos) {
    const key = sharpnessGroup(photo);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [photo]);
    else group.push(photo);
  }
  return groups.size === 1 ? [facts] : [...groups.values()].map((photos) => ({ ...facts, photos }));
}
