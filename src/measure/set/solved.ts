import type { SolvedMeasures } from "../../types/facts.js";
import type { PairFacts } from "../../types/pair.js";
import type { Measure, Unit } from "../../types/units.js";
import type { Candidate } from "../parts.js";
import { type Difference, solveOffsets } from "./solve.js";

/** A pair by places in capture order, with what was measured of it. */
export interface SolvablePair extends Candidate {
  readonly facts: Omit<PairFacts, "a" | "b">;
}

/** Residual at which a drift starts to lose its say: twice the spread between unchanged neighbours, stops. */
const DRIFT_SCALE_STOPS = 0.1;

/** The same for relative sharpness, whose spread between good neighbours is wider, stops. */
const SHARPNESS_SCALE_STOPS = 0.25;

/** Matches beyond this add no trust: what is left is the surface's own change with the view. */
const ENOUGH_MATCHES = 200;

/**
 * One exposure offset, one red and blue offset and one sharpness value a photo, solved over all pairs that
 * measured them, and how many photos each links to.
 *
 * @param count number of photos
 * @param comparedWith how many others each photo was compared with
 */
export function solvedMeasures(
  count: number,
  pairs: readonly SolvablePair[],
  comparedWith: Int32Array,
): SolvedMeasures[] {
  const solve = (read: (facts: SolvablePair["facts"]) => number | undefined, scale: number) => {
    const differences: Difference[] = [];
    for (const { a, b, facts } of pairs) {
      const value = read(facts);
      if (value === undefined) continue;
      differences.push({ a, b, value, weight: Math.min(facts.verifiedMatches, ENOUGH_MATCHES) });
    }
    return solveOffsets(count, differences, scale).values;
  };
  const exposure = solve((facts) => facts.exposureDriftStops, DRIFT_SCALE_STOPS);
  const red = solve((facts) => facts.colourDrift?.redStops, DRIFT_SCALE_STOPS);
  const blue = solve((facts) => facts.colourDrift?.blueStops, DRIFT_SCALE_STOPS);
  const sharpness = solve((facts) => facts.relativeSharpness, SHARPNESS_SCALE_STOPS);
  const detail = solve((facts) => facts.relativeDetail, SHARPNESS_SCALE_STOPS);
  const linkedWith = new Int32Array(count);
  for (const { a, b, facts } of pairs) {
    if (facts.verifiedMatches === 0) continue;
    linkedWith[a]++;
    linkedWith[b]++;
  }
  return Array.from({ length: count }, (_, i) => ({
    ...named("exposureOffsetStops", exposure[i], "stops"),
    ...named("redOffsetStops", red[i], "stops"),
    ...named("blueOffsetStops", blue[i], "stops"),
    ...named("sharpnessOffsetStops", sharpness[i], "stops"),
    ...named("detailOffsetStops", detail[i], "stops"),
    comparedPhotos: { value: comparedWith[i], unit: "photos" },
    linkedPhotos: { value: linkedWith[i], unit: "photos" },
  }));
}

/** One measure under its name; nothing where it was not measured. */
export function named<Name extends string>(
  name: Name,
  value: number | undefined,
  unit: Unit,
): { readonly [K in Name]?: Measure } {
  return value === undefined ? {} : ({ [name]: { value, unit } } as { readonly [K in Name]?: Measure });
}
