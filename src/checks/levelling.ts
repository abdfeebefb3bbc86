import type { Facts } from "../types/facts.js";
import type { PairFacts } from "../types/pair.js";

/** One photo off the set's reference, in each value that is looked at together: exposure, or red and blue. */
export interface Offset {
  readonly file: string;
  readonly values: readonly number[];
}

/** Photos that are off by the same amount, so that one instruction puts them all right. */
export interface Group {
  /** In capture order. */
  readonly files: readonly string[];
  /** Middle between the least and the most of them, in each value. */
  readonly values: readonly number[];
}

export interface Levelling {
  /** Groups of photos to put right, by the first photo; none where the set wanders. */
  readonly groups: readonly Group[];
  /** Photos that change so gradually, or so often, that no few instructions can say it: beyond the limit, in capture order. */
  readonly wandering: readonly string[];
  /** Photos whose own pairs do not say what the whole says. */
  readonly contradicted: readonly string[];
}

/** Photos in one instruction lie within this of its middle: what is left of each is half of what is seen, stops. */
const TOLERANCE = 0.15;

/** Values in a chain of steps no wider than this pass gradually into one another, stops. */
const CHAIN = 0.12;

/** Up to this share of the photos, and this many, may end a chain without its being a drift: the tails of a good set. */
const TAIL_RATIO = 0.05;
const TAIL_PHOTOS = 2;

/** With as many amounts and the rest of the set uneven too, instructions would leave it uneven. */
const SEVERAL = 3;

/**
 * Splits photos that are off the set's reference into groups of one correction each: single photos, runs, rings and sides
 * alike, whichever photos they are. Where values pass gradually from the reference to beyond the limit, the set drifts or
 * its camera adapts, and groups would only cut it into steps.
 *
 * @param offsets photos with a value, in capture order
 * @param limit how far off is too far, stops
 * @param drift how much brighter (or redder, bluer) the second photo of a pair shows the shared surface, as in `values`
 */
export function levellingOf(
  { pairs }: Pick<Facts, "pairs">,
  offsets: readonly Offset[],
  limit: number,
  drift: (pair: PairFacts) => readonly number[] | undefined,
): Levelling {
  const off = offsets.filter((offset) => sizeOf(offset) >= limit);
  const gradual = chained(offsets).filter((offset) => sizeOf(offset) >= limit);
  const tail = Math.max(TAIL_PHOTOS, TAIL_RATIO * offsets.length);
  if (gradual.length > tail) {
    return { groups: [], wandering: off.map(({ file }) => file), contradicted: [] };
  }
  const together = alike(off);
  const uneven = offsets.filter((offset) => sizeOf(offset) > TOLERANCE && sizeOf(offset) < limit);
  if (together.length >= SEVERAL && uneven.length > tail) {
    return { groups: [], wandering: off.map(({ file }) => file), contradicted: [] };
  }
  const groups: Group[] = [];
  const contradicted: string[] = [];
  const values = new Map(offsets.map((offset) => [offset.file, offset.values]));
  for (const members of together) {
    const files = members.map(({ file }) => file);
    if (!isBorneOut(files, values, pairs, limit, drift)) contradicted.push(...files);
    else groups.push({ files, values: middleOf(members) });
  }
  return { groups, wandering: [], contradicted };
}

function sizeOf({ values }: Offset): number {
  return Math.max(...values.map(Math.abs));
}

function distance(a: readonly number[], b: readonly number[]): number {
  return Math.max(...a.map((value, k) => Math.abs(value - b[k])));
}

/** The photos that can be reached from the reference in steps of CHAIN from one photo's value to another's. */
function chained(offsets: readonly Offset[]): Offset[] {
  const open = offsets.filter((offset) => sizeOf(offset) <= CHAIN);
  let left = offsets.filter((offset) => sizeOf(offset) > CHAIN);
  const reached: Offset[] = [];
  for (let next = open.pop(); next !== undefined; next = open.pop()) {
    const from = next.values;
    reached.push(next);
    open.push(...left.filter(({ values }) => distance(values, from) <= CHAIN));
    left = left.filter(({ values }) => distance(values, from) > CHAIN);
  }
  return reached;
}

/** Photos within TOLERANCE of one of them, the largest groups first taken; in capture order of their first photos. */
function alike(offsets: readonly Offset[]): Offset[][] {
  let left = offsets;
  const groups: Offset[][] = [];
  while (left.length > 0) {
    let best: readonly Offset[] = [];
    for (const centre of left) {
      const near = left.filter(({ values }) => distance(values, centre.values) <= TOLERANCE);
      if (near.length > best.length) best = near;
    }
    groups.push([...best]);
    const taken = new Set(best);
    left = left.filter((offset) => !taken.has(offset));
  }
  const place = new Map(offsets.map((offset, i) => [offset, i]));
  return groups.sort((a, b) => place.get(a[0])! - place.get(b[0])!);
}

function middleOf(offsets: readonly Offset[]): number[] {
  return offsets[0].values.map((_, k) => {
    const values = offsets.map((offset) => offset.values[k]);
    return (Math.min(...values) + Math.max(...values)) / 2;
  });
}

/** Pairs whose drift is further than this share of the limit from what the solution says contradict it. */
const CONTRADICTS = 0.5;

/**
 * Whether the pairs between a group and the photos outside say what the solution says, by at least half of their matches:
 * values that were carried along a chain of photos, or that one bad pair gives, are not reported.
 */
function isBorneOut(
  files: readonly string[],
  values: ReadonlyMap<string, readonly number[]>,
  pairs: readonly PairFacts[],
  limit: number,
  drift: (pair: PairFacts) => readonly number[] | undefined,
): boolean {
  const inside = new Set(files);
  let all = 0;
  let agreeing = 0;
  for (const pair of pairs) {
    const said = drift(pair);
    const [a, b] = [values.get(pair.a), values.get(pair.b)];
    if (said === undefined || a === undefined || b === undefined) continue;
    if (inside.has(pair.a) === inside.has(pair.b)) continue;
    all += pair.verifiedMatches;
    const solved = b.map((value, k) => value - a[k]);
    if (distance(solved, said) <= CONTRADICTS * limit) agreeing += pair.verifiedMatches;
  }
  return 2 * agreeing >= all;
}

/** How a sentence speaks of some photos. */
export interface Names {
  /** "IMG_0044.jpg to IMG_0050.jpg", or "These photos" where they do not follow one another. */
  readonly subject: string;
  readonly verb: "is" | "are";
  readonly object: "it" | "them";
}

/** @param files in capture order, as in `order` */
export function namesOf(files: readonly string[], order: readonly string[]): Names {
  if (files.length === 1) return { subject: files[0], verb: "is", object: "it" };
  const first = order.indexOf(files[0]);
  const isRun = files.every((file, k) => order[first + k] === file);
  const subject =
    files.length === 2
      ? `${files[0]} and ${files[1]}`
      : isRun
        ? `${files[0]} to ${files.at(-1)}`
        : "These photos";
  return { subject, verb: "are", object: "them" };
}
