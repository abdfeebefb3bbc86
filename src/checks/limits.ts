import { ExplainedError } from "../errors.js";
import { nearest } from "../nearest.js";
import type { Limits } from "../types/judgement.js";
import type { DeclaredLimit, Limit, Unit } from "../types/units.js";
import { COUNTED } from "./define.js";
import { ruled } from "./index.js";

/** Limits that cannot be used. */
export class LimitsError extends ExplainedError {
  override readonly name = "LimitsError";
}

/**
 * The limits of the code with those of a user's JSON put over them:
 * `{"soft-photo": {"blur": 1.5}}` replaces one number; its unit stays.
 *
 * @param file where the JSON comes from, for messages
 * @throws LimitsError where a check or limit is not known, a value lies outside what the limit can be, or two limits
 * of a check contradict each other
 */
export function mergeLimits(json: unknown, file?: string): Limits {
  const place = file === undefined ? "" : ` in ${JSON.stringify(file)}`;
  if (!isRecord(json))
    throw new LimitsError(
      `limits${place} as {"check": {"limit": number}}`,
      `found ${shown(json)}`,
      `write for example {"soft-photo": {"blur": 1.5}}`,
    );
  const given = Object.entries(json).flatMap(([id, table]) => givenFor(id, table, place));
  refuseUnlike(given, place);
  const numbers = new Map(given.map(({ declared, value }) => [declared, value]));
  const merged = Object.fromEntries(
    ruled.map(({ id, limits }) => [
      id,
      Object.fromEntries(Object.entries(limits).map(([name, own]) => [name, limitOf(own, numbers.get(own))])),
    ]),
  );
  for (const { id, rising = [] } of ruled) refuseContradiction(id, merged[id], rising, place);
  return merged;
}

/** One number that a user's file gives. */
interface Given {
  readonly id: string;
  readonly name: string;
  /** The limit it replaces. Checks that share a boundary share the object: one number holds for all of them. */
  readonly declared: DeclaredLimit;
  readonly value: number;
}

function limitOf({ value: usual, unit, source }: DeclaredLimit, given: number | undefined): Limit {
  return given === undefined
    ? { value: usual, unit, source }
    : { value: given, unit, source: "given with --limits" };
}

/** @throws LimitsError where two checks that share a limit are given different numbers for it */
function refuseUnlike(given: readonly Given[], place: string): void {
  for (const one of given) {
    const other = given.find(({ declared, value }) => declared === one.declared && value !== one.value);
    if (other === undefined) continue;
    throw new LimitsError(
      `${one.id}.${one.name} and ${other.id}.${other.name}${place} to be the same, since they are one boundary`,
      `they are ${one.value} and ${other.value} ${one.declared.unit}`,
      "write one of them; it holds for both",
    );
  }
}

const withLimits = ruled.filter(({ limits }) => Object.keys(limits).length > 0).map(({ id }) => id);

/** What a file gives for one check. */
function givenFor(id: string, table: unknown, place: string): readonly Given[] {
  const check = ruled.find((one) => one.id === id);
  if (check === undefined)
    throw new LimitsError(
      `the id of a check${place}`,
      `found ${shown(id)}`,
      nearestOrAll(id, withLimits, "goodgate checks"),
    );
  const declared = check.limits;
  if (Object.keys(declared).length === 0)
    throw new LimitsError(
      `a check with limits${place}`,
      `found ${id}, which has none`,
      `choose from ${withLimits.join(", ")}`,
    );
  if (!isRecord(table))
    throw new LimitsError(
      `{"limit": number} for ${id}${place}`,
      `found ${shown(table)}`,
      `its limits are ${Object.keys(declared).join(", ")}; goodgate checks ${id} explains them`,
    );
  return Object.entries(table).map(([name, value]) => {
    if (!Object.hasOwn(declared, name))
      throw new LimitsError(
        `a limit of the check ${id}${place}`,
        `found ${shown(name)}`,
        nearestOrAll(name, Object.keys(declared), `goodgate checks ${id}`),
      );
    const own = declared[name];
    return { id, name, declared: own, value: fitting(`${id}.${name}${place}`, value, own) };
  });
}

/** The value, where it is one that the limit can have. */
function fitting(where: string, value: unknown, { value: usual, unit, range }: DeclaredLimit): number {
  const [least, most] = range;
  if (typeof value === "number" && value >= least && value <= most && isWholeWhereCounted(value, unit))
    return value;
  const kind = COUNTED.has(unit) ? "a whole number" : "a number";
  throw new LimitsError(
    `${kind} from ${least} to ${most} (${unit === "ratio" ? "ratio, 1 is all" : unit}) for ${where}`,
    `found ${shown(value)}`,
    `write one in that range${typeof value === "string" ? ", without quotes" : ""}, or leave it out to keep ${usual}`,
  );
}

function isWholeWhereCounted(value: number, unit: Unit): boolean {
  return !COUNTED.has(unit) || Number.isInteger(value);
}

/** @throws LimitsError where a limit lies over one that it may not pass */
function refuseContradiction(
  id: string,
  limits: Readonly<Record<string, Limit>>,
  rising: readonly string[],
  place: string,
): void {
  for (const [i, upper] of rising.entries()) {
    const lower = rising[i - 1];
    if (lower === undefined || limits[lower].value <= limits[upper].value) continue;
    throw new LimitsError(
      `${id}.${lower} to be no more than ${id}.${upper}${place}`,
      `they are ${limits[lower].value} and ${limits[upper].value} ${limits[upper].unit}`,
      `change one of them; what the file leaves out keeps its usual value (goodgate checks ${id})`,
    );
  }
}

/** What to write in place of a word that is not known; `command` shows all that could be meant. */
function nearestOrAll(word: string, names: readonly string[], command: string): string {
  const near = nearest(word, names);
  return near === undefined
    ? `choose from ${names.join(", ")}`
    : `${near} is nearest, and ${command} explains them all`;
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function shown(value: unknown): string {
  const text = JSON.stringify(value) ?? String(value);
  return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}
