import { FEWEST_FOR_SET } from "../measure/set/photos-around.js";
import { median } from "../measure/statistics.js";
import type { Facts } from "../types/facts.js";
import type { PairFacts } from "../types/pair.js";
import { type Levelling, levellingOf, type Offset } from "./levelling.js";
import { lightOf } from "./light.js";
import { shinySubject } from "./shiny-subject.js";

/** What is to be put right in the exposure and the colour of a set. */
export interface LevelledSet {
  readonly exposure: Levelling;
  readonly colour: Levelling;
  /** Why exposure could not be judged at all; undefined where it was. */
  readonly unclear?: string | undefined;
}

/** Instructions that a person follows, exposure and colour together; beyond them a set is to be levelled as a whole. */
const MOST_INSTRUCTIONS = 6;

/** As far off as is reported, stops; a check hands in its own limit, the other one counts by what stands here. */
const USUAL = { exposure: 0.4, colour: 0.25 } as const;

/**
 * Exposure and colour settled together, since what they ask for adds up: where both together come to more than
 * MOST_INSTRUCTIONS, the one that asks for more becomes a single instruction for the whole set.
 */
export function levelledSet(facts: Facts, limits: Partial<Record<keyof typeof USUAL, number>>): LevelledSet {
  const { exposure: step, colour: tint } = { ...USUAL, ...limits };
  const { known, unclear } = exposureOffsets(facts);
  let exposure = levellingOf(facts, known, step, exposureDrift);
  let colour = levellingOf(facts, colourOffsets(facts).known, tint, colourDrift);
  const count = (): number => exposure.groups.length + colour.groups.length;
  if (count() > MOST_INSTRUCTIONS && exposure.groups.length >= colour.groups.length) {
    exposure = asWhole(facts, exposure);
  }
  if (count() > MOST_INSTRUCTIONS) colour = asWhole(facts, colour);
  return { exposure, colour, unclear };
}

function asWhole({ photos }: Facts, { groups, contradicted }: Levelling): Levelling {
  const named = new Set(groups.flatMap(({ files }) => files));
  return {
    groups: [],
    wandering: photos.flatMap(({ file }) => (named.has(file) ? [file] : [])),
    contradicted,
  };
}

function exposureDrift({ exposureDriftStops }: PairFacts): number[] | undefined {
  return exposureDriftStops === undefined ? undefined : [exposureDriftStops];
}

function colourDrift({ colourDrift: drift }: PairFacts): number[] | undefined {
  return drift === undefined ? undefined : [drift.redStops, drift.blueStops];
}

interface Offsets {
  /** In capture order. */
  readonly known: readonly Offset[];
  readonly without: readonly string[];
  readonly unclear?: string;
}

/** Brightness of each photo against the set's reference, as far as it can be laid to the exposure. */
export function exposureOffsets(facts: Facts): Offsets {
  const stops = facts.photos.map(({ measures }) => measures.exposureOffsetStops?.value);
  if (!isShiny(facts))
    return offsetsOf(
      facts,
      stops.map((value) => (value === undefined ? undefined : [value])),
    );
  const stated = statedStops(facts);
  if (stated === undefined) return { known: [], without: [], unclear: shine };
  const sure = stops.map((value, i) => (value === undefined ? undefined : [borneOut(value, stated[i])]));
  return offsetsOf(facts, sure);
}

/** Red and blue of each photo against the set's reference. */
export function colourOffsets(facts: Facts): Offsets {
  return offsetsOf(
    facts,
    facts.photos.map(({ measures: { redOffsetStops: red, blueOffsetStops: blue } }) =>
      red === undefined || blue === undefined ? undefined : [red.value, blue.value],
    ),
  );
}

function offsetsOf({ photos }: Facts, values: readonly (number[] | undefined)[]): Offsets {
  return {
    known: photos.flatMap(({ file }, i) => {
      const own = values[i];
      return own === undefined ? [] : [{ file, values: own }];
    }),
    without: photos.filter((_, i) => values[i] === undefined).map(({ file }) => file),
  };
}

/** A shiny surface grows brighter and darker with the view, whatever the camera does. */
const shine =
  "the subject is shiny, so that its brightness changes with the view, and EXIF does not tell the exposure";

/** Whether highlights move over the subject, by the usual limit of shiny-subject. */
export function isShiny(facts: Facts): boolean {
  const ratios = lightOf(facts, "highlightRatio").filter((value) => value !== undefined);
  return ratios.length >= FEWEST_FOR_SET && median(ratios) > shinySubject.limits.share.value;
}

/** What EXIF's exposure makes of each photo's brightness, against the photos that are the reference; undefined unless all tell it. */
function statedStops({ photos }: Facts): number[] | undefined {
  const stated = photos.flatMap(({ exif }) => exif.ev100 ?? []);
  if (stated.length < photos.length) return undefined;
  const near = photos.flatMap(({ exif, measures }) =>
    Math.abs(measures.exposureOffsetStops?.value ?? 1) <= NEAR ? [exif.ev100!] : [],
  );
  const middle = median(near.length === 0 ? stated : near);
  return stated.map((ev100) => middle - ev100);
}

/** Within this of the reference a photo is part of it, stops. */
const NEAR = 0.15;

/** The smaller of what is seen and what is stated; 0 where they contradict one another. */
function borneOut(seen: number, stated: number): number {
  if (seen * stated <= 0) return 0;
  return Math.abs(seen) < Math.abs(stated) ? seen : stated;
}

/** Spread of the middle nine tenths of some values; 0 of none. */
export function middleRange(values: readonly number[]): number {
  if (values.length === 0) return 0;
  const sorted = [...values].sort((a, b) => a - b);
  const least = Math.ceil(0.05 * (sorted.length - 1));
  return sorted[sorted.length - 1 - least] - sorted[least];
}
