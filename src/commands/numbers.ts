import { CommandError } from "./errors.js";

/** Most that --jobs takes: more threads than any machine has cores for. */
export const mostJobs = 256;

/**
 * A whole number an option was given.
 * @throws CommandError where it is none or lies outside [least, most]
 */
export function wholeNumber(
  option: string,
  text: string,
  least: number,
  most: number,
  example = Math.min(most, Math.max(least, 4)),
): number {
  const number = /^\d{1,15}$/.test(text) ? Number(text) : Number.NaN;
  if (number >= least && number <= most) return number;
  throw new CommandError(
    `a whole number from ${least} to ${most} after ${option}`,
    `found ${JSON.stringify(text)}`,
    `write for example ${option} ${example}`,
  );
}
