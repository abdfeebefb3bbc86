import { sharpnessGroup } from "../measure/set/comparable.js";
import { median } from "../measure/statistics.js";
import type { Facts, MeasureName, PhotoFacts } from "../types.js";
import { type Outcome, skippedFor } from "./define.js";

/** Photos on each side, in capture order, that a photo is held against: a run of five faulty ones is outvoted. */
const LOCAL_REACH = 6;

/** Fewest neighbours with a value that make a median worth holding a photo against. */
const FEWEST_NEIGHBOURS = 3;

/**
 * Each photo's measure less the median of the photos around it in capture order. The light and the side of the
 * subject change slowly on the way round, a fault from one photo to the next.
 *
 * @returns one a photo; undefined where the photo or too few of its neighbours have the measure
 */
export function againstNeighbours(facts: Facts, name: MeasureName): (number | undefined)[] {
  return againstAround(facts.photos.map((photo) => photo.measures[name]?.value));
}

/** The same for values that are no measure of the whole frame, one a photo in capture order. */
export function againstAround(values: readonly (number | undefined)[]): (number | undefined)[] {
  return values.map((value, i) => {
    if (value === undefined) return undefined;
    const around = values
      .slice(Math.max(0, i - LOCAL_REACH), i + LOCAL_REACH + 1)
      .filter((other, k): other is number => other !== undefined && k !== Math.min(i, LOCAL_REACH));
    return around.length < FEWEST_NEIGHBOURS ? undefined : value - median(around);
  });
}

/** The photos that could not be held against those around them, as a check lists what it skipped. */
export function unmeasured(
  photos: readonly { readonly file: string }[],
  values: readonly unknown[],
): Outcome["skipped"] {
  const without = photos.filter((_, i) => values[i] === undefined).map(({ file }) => file);
  return skippedFor(without, "no surface shared with the photos around it");
}

/** Photos whose measure is there, and the median over them; undefined where fewer than `fewest` have it. */
export function medianOf(facts: Facts, name: MeasureName, fewest = FEWEST_NEIGHBOURS): number | undefined {
  const values = facts.photos.flatMap((photo) => photo.measures[name]?.value ?? []);
  return values.length < fewest ? undefined : median(values);
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
  return [...groups.values()].map((photos) => ({ ...facts, photos }));
}
