import type { Facts } from "../types/facts.js";
import type { Finding, Limits, RequirementId, Skipped } from "../types/judgement.js";
import type { DeclaredLimit, Limit, LimitRange, Measure, Unit } from "../types/units.js";
import type { Need } from "./skipped.js";

/**
 * What a check says of a photo, a space between two photos, or the set, before the verdicts are settled. A photo
 * finding of severity "reshoot" becomes "leave-out" in judge() where good photos cover the view.
 */
export interface Draft extends Omit<Finding, "check"> {
  /** Set where the photo's place is unknown, so that no other photo can be said to cover it. */
  readonly alwaysReshoot?: boolean;
  /** The photo is not spoilt: where no good one shows its view it is used, there being nothing better, and only noted. */
  readonly usable?: boolean;
  /** It says what the set as a whole is, and is reported first; "alone": what else is wrong is of no use to know then. */
  readonly whatItIs?: "first" | "alone";
  /** The set has to be taken anew, so that nothing is to be added to it. */
  readonly anew?: boolean;
  /** Id of a check whose findings on the same photos this one explains better: they are dropped. */
  readonly insteadOf?: string;
}

/** How photos are spoken of together that one check has found at fault. */
export interface InMost {
  /** One sentence: what the set is. */
  readonly message: (count: number, of: number) => string;
  readonly advice: string;
}

export interface Outcome {
  readonly findings: readonly Draft[];
  readonly skipped: readonly Omit<Skipped, "check">[];
}

export type LimitTable<Name extends string> = Readonly<Record<Name, Limit>>;

/** One check: an id that never changes, prose for people, limits with their reasons, and a pure judge. */
export interface Check<Name extends string = string> {
  /** Equal to the file's name. */
  readonly id: string;
  /** A few words, lower case: what it looks for. */
  readonly title: string;
  /** What a set has to be that this check can deny. */
  readonly serves: RequirementId;
  /** What it measures, one or two sentences. */
  readonly measures: string;
  /** Why it matters to the model, one or two sentences. */
  readonly why: string;
  /** What to do, one or two sentences. */
  readonly advice: string;
  /** Its findings say that a photo is of something else: the others are judged as if it were not there. */
  readonly removes?: boolean;
  /** What it skips photos for the lack of. */
  readonly needs?: readonly Need[];
  readonly limits: Readonly<Record<Name, DeclaredLimit>>;
  /** Where more than half of the photos are to be taken again by this check, the set is spoken of instead of each. */
  readonly inMost?: InMost;
  /** Limits that only make sense in this order: none may lie over the next. */
  readonly rising?: readonly NoInfer<Name>[];
  judge(facts: Facts, limits: LimitTable<Name>): Outcome;
}

/** Ties a check's limit names to its judge, so that a misspelt limit is a type error. */
export function defineCheck<const Name extends string>(check: Check<Name>): Check<Name> {
  return check;
}

export function measure(value: number, unit: Unit): Measure {
  return { value, unit };
}

/** A number of stops without its sign, for people: "1 stop", "0.8 stops". */
export function inStops(stops: number): string {
  const text = Math.abs(stops).toFixed(1).replace(/\.0$/, "");
  return `${text} ${text === "1" ? "stop" : "stops"}`;
}

/** A share as per cent, with as many decimals (up to 4) as tell it from the limit it passed: "25.1 %" beyond 25 %. */
export function percentBeyond(ratio: number, bound: number): string {
  for (let decimals = 0; decimals < 4; decimals++) {
    const text = (100 * ratio).toFixed(decimals);
    if (text !== (100 * bound).toFixed(decimals)) return `${text} %`;
  }
  return `${(100 * ratio).toFixed(4)} %`;
}

/**
 * What a limit may be set to where it says nothing else: what its unit can hold. Outside, the check would speak of
 * every photo or of none.
 */
const RANGES: Readonly<Record<Unit, LimitRange>> = {
  ratio: [0, 1],
  // A hundredth of a stop is as fine as light is told apart; no sensor spans 20.
  stops: [0.01, 20],
  "grey levels": [0.1, 255],
  "grey levels squared": [0.1, 255 ** 2],
  px: [1, 100_000],
  // A tenth of a pixel is less than any lens blurs; 100 px leave nothing of a picture.
  "px at 1920": [0.1, 100],
  megapixels: [0.1, 1000],
  // The angle between two directions.
  degrees: [1, 180],
  photos: [1, 1_000_000],
  matches: [1, 10_000],
  keypoints: [1, 100_000],
  times: [0.001, 100],
};

/** Units of things that come whole. */
export const COUNTED: ReadonlySet<Unit> = new Set<Unit>(["photos", "matches", "keypoints"]);

/** A limit with its reason. `range` is named where the unit alone would let through what makes no sense here. */
export function limit(
  value: number,
  unit: Unit,
  source: string,
  range: LimitRange = RANGES[unit],
): DeclaredLimit {
  return { value, unit, source, range };
}

/** What a check lists as skipped: some photos for one reason; nothing where there are none. */
export function skippedFor(photos: readonly string[], reason: string): Outcome["skipped"] {
  return photos.length === 0 ? [] : [{ photos, reason }];
}

/**
 * The photos that have what a check judges by, and the others as it lists them.
 *
 * @param values one a photo
 */
export function valued<Value>(
  photos: readonly { readonly file: string }[],
  values: readonly (Value | undefined)[],
  reason: string,
): { known: readonly { readonly file: string; readonly value: Value }[]; skipped: Outcome["skipped"] } {
  const known = photos.flatMap(({ file }, i) => {
    const value = values[i];
    return value === undefined ? [] : [{ file, value }];
  });
  const without = photos.filter((_, i) => values[i] === undefined).map(({ file }) => file);
  return { known, skipped: skippedFor(without, reason) };
}

/** The limits as they stand in the code, by id. */
export function limitsOf(checks: readonly Pick<Check, "id" | "limits">[]): Limits {
  const plain = ({ value, unit, source }: Limit): Limit => ({ value, unit, source });
  return Object.fromEntries(
    checks.map(({ id, limits }) => [
      id,
      Object.fromEntries(Object.entries(limits).map(([name, limit]) => [name, plain(limit)])),
    ]),
  );
}
