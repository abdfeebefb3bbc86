import type { Limit, Limits } from "../types.js";
import { defaultLimits } from "./index.js";

/** A file of limits that does not fit. The message says what was expected, what was found, and what to do. */
export class LimitsError extends Error {
  override readonly name = "LimitsError";
}

/**
 * The limits of the code with those of a user's JSON put over them:
 * `{"soft-photo": {"softer": 1.5}}` replaces one number; its unit stays.
 *
 * @throws LimitsError where a check or limit is not known, or a value is not a finite number
 */
export function mergeLimits(json: unknown): Limits {
  if (!isRecord(json)) {
    throw new LimitsError(`Expected limits as {"check": {"limit": number}}, found ${shown(json)}.`);
  }
  const merged: Record<string, Record<string, Limit>> = Object.fromEntries(
    Object.entries(defaultLimits).map(([check, table]) => [check, { ...table }]),
  );
  for (const [check, table] of Object.entries(json)) {
    const known = Object.hasOwn(merged, check) ? merged[check] : undefined;
    if (known === undefined) {
      const names = Object.keys(merged).filter((id) => Object.keys(merged[id]).length > 0);
      throw new LimitsError(
        `There is no check ${shown(check)} with limits. Those with limits: ${names.join(", ")}.`,
      );
    }
    if (!isRecord(table)) {
      throw new LimitsError(`Expected {"limit": number} for ${check}, found ${shown(table)}.`);
    }
    for (const [name, value] of Object.entries(table)) {
      if (!Object.hasOwn(known, name)) {
        const names = Object.keys(known).join(", ") || "none";
        throw new LimitsError(`The check ${check} has no limit ${shown(name)}. It has: ${names}.`);
      }
      if (typeof value !== "number" || !Number.isFinite(value)) {
        throw new LimitsError(
          `Expected a number (${known[name].unit}) for ${check}.${name}, found ${shown(value)}.`,
        );
      }
      known[name] = { value, unit: known[name].unit, source: "given with --limits" };
    }
  }
  return merged;
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function shown(value: unknown): string {
  const text = JSON.stringify(value) ?? String(value);
  return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}
