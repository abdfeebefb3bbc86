import type { SolvedMeasures } from "../../types/facts.js";
import type { PairFacts } from "../../types/pair.js";
import type { PixelMeasures } from "../../types/photo.js";
import type { Measure, Unit } from "../../types/units.js";
import type { Candidate } from "../parts.js";
import { gainsFor } from "./correction.js";
import { largestBlock } from "./reference.js";
import { type Difference, type Solution, solveOffsets } from "./solve.js";

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

/** Photos within this of one another agree: twice what the eye tells apart, stops. */
const AGREEING_STOPS = 0.15;

/** A photo with more of its middle clipped than this is no reference: good photos have 0.02 at the most. */
const MOST_CLIPPED = 0.05;

/** What the reference is chosen by, and what gains hang on besides the pairs. */
export type SolvablePhoto = Pick<PixelMeasures, "clippedCentreRatio" | "redGreenStops" | "blueGreenStops">;

/**
 * One exposure offset, one red and blue offset and one sharpness value a photo, solved over all pairs that
 * measured them, the gains that take exposure and colour back to the set's reference, and how many photos each links to.
 * The reference of exposure and colour is the largest block of photos that agree and hold their highlights, in each part
 * of the set that hangs together.
 *
 * @param comparedWith how many others each photo was compared with
 */
export function solvedMeasures(
  photos: readonly SolvablePhoto[],
  pairs: readonly SolvablePair[],
  comparedWith: Int32Array,
): SolvedMeasures[] {
  const count = photos.length;
  const solve = (read: (facts: SolvablePair["facts"]) => number | undefined, scale: number) => {
    const differences: Difference[] = [];
    for (const { a, b, facts } of pairs) {
      const value = read(facts);
      if (value === undefined) continue;
      differences.push({ a, b, value, weight: Math.min(facts.verifiedMatches, ENOUGH_MATCHES) });
    }
    return solveOffsets(count, differences, scale);
  };
  const clipped = photos.map(({ clippedCentreRatio }) => clippedCentreRatio.value > MOST_CLIPPED);
  const [exposure] = againstReference(
    [solve((facts) => facts.exposureDriftStops, DRIFT_SCALE_STOPS)],
    clipped,
  );
  const [red, blue] = againstReference(
    [
      solve((facts) => facts.colourDrift?.redStops, DRIFT_SCALE_STOPS),
      solve((facts) => facts.colourDrift?.blueStops, DRIFT_SCALE_STOPS),
    ],
    clipped,
  );
  const sharpness = solve((facts) => facts.relativeSharpness, SHARPNESS_SCALE_STOPS).values;
  const detail = solve((facts) => facts.relativeDetail, SHARPNESS_SCALE_STOPS).values;
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
    ...gainsOf(photos[i], exposure[i], red[i], blue[i]),
    ...named("sharpnessOffsetStops", sharpness[i], "stops"),
    ...named("detailOffsetStops", detail[i], "stops"),
    comparedPhotos: { value: comparedWith[i], unit: "photos" },
    linkedPhotos: { value: linkedWith[i], unit: "photos" },
  }));
}

/** Solutions of the same pairs, each value less that of the largest block of photos that agree in all of them. */
function againstReference(
  solutions: readonly Solution[],
  clipped: readonly boolean[],
): (number | undefined)[][] {
  const { parts } = solutions[0];
  const shifts = new Map<number, number[] | undefined>();
  for (const part of new Set(parts)) {
    const points = clipped.map((_, i) =>
      parts[i] === part && part !== -1 ? solutions.map(({ values }) => values[i]!) : undefined,
    );
    shifts.set(
      part,
      largestBlock(
        points,
        clipped.map((is) => !is),
        AGREEING_STOPS,
      ),
    );
  }
  return solutions.map(({ values }, k) =>
    values.map((value, i) => (value === undefined ? undefined : value - shifts.get(parts[i])![k])),
  );
}

function gainsOf(
  { redGreenStops, blueGreenStops }: SolvablePhoto,
  exposureStops: number | undefined,
  redStops: number | undefined,
  blueStops: number | undefined,
): Partial<SolvedMeasures> {
  if (exposureStops === undefined) return {};
  const gains = gainsFor({
    exposureStops,
    redStops,
    blueStops,
    meanRedGreenStops: redGreenStops.value,
    meanBlueGreenStops: blueGreenStops.value,
  });
  return {
    redGain: { value: gains.red, unit: "times" },
    greenGain: { value: gains.green, unit: "times" },
    blueGain: { value: gains.blue, unit: "times" },
  };
}

/** One measure under its name; nothing where it was not measured. */
export function named<Name extends string>(
  name: Name,
  value: number | undefined,
  unit: Unit,
): { readonly [K in Name]?: Measure } {
  return value === undefined ? {} : ({ [name]: { value, unit } } as { readonly [K in Name]?: Measure });
}
