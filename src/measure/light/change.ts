import { median } from "../statistics.js";

/** A step of the light from one photo to the next in capture order. */
export interface Step {
  /** The last photo before the step and the first after it, by place in capture order. */
  readonly before: number;
  readonly after: number;
  /** After less before, stops. */
  readonly stops: number;
}

/** Photos on each side of a step that are compared: enough that two faulty ones are outvoted. */
const REACH = 6;
const FEWEST = 3;

/**
 * The largest step in time of a value a photo: medians of the up to REACH photos before and after each place. One photo
 * that is off is no step, and a slow drift is as much of one as passes within the reach.
 *
 * @param values one a photo in capture order; undefined ones take no part
 * @returns undefined with fewer than FEWEST values on each side
 */
export function largestStep(values: readonly (number | undefined)[]): Step | undefined {
  const places = values.flatMap((value, i) => (value === undefined ? [] : [i]));
  const known = places.map((i) => values[i]!);
  const steps: Step[] = [];
  for (let k = FEWEST; k + FEWEST <= known.length; k++) {
    const stops = median(known.slice(k, k + REACH)) - median(known.slice(Math.max(0, k - REACH), k));
    steps.push({ before: places[k - 1], after: places[k], stops });
  }
  if (steps.length === 0) return undefined;
  const most = Math.max(...steps.map(({ stops }) => Math.abs(stops)));
  // Medians hardly change as a step moves through their reach: of the places that see it, the one where it jumps is meant.
  const jump = ({ before, after, stops }: Step): number =>
    Math.sign(stops) * (values[after]! - values[before]!);
  return steps
    .filter(({ stops }) => Math.abs(stops) >= 0.8 * most)
    .reduce((best, step) => (jump(step) > jump(best) ? step : best));
}

/** Step of another value at the same place: medians of the photos before and after, undefined where too few are known. */
export function stepAt(values: readonly (number | undefined)[], { before, after }: Step): number | undefined {
  const known = (list: readonly (number | undefined)[]): number[] =>
    list.filter((value) => value !== undefined);
  const earlier = known(values.slice(0, before + 1)).slice(-REACH);
  const later = known(values.slice(after)).slice(0, REACH);
  return Math.min(earlier.length, later.length) < FEWEST ? undefined : median(later) - median(earlier);
}
