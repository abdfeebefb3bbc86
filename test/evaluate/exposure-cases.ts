/**
 * Sets whose exposure or colour goes wrong in a known way: one rendered walk in linear light, and patterns of gains laid
 * over it. Stops are of linear light.
 */
import { createRandom } from "#goodgate/demo/random.js";

/** What a photo was made brighter by, and its red and blue against green, stops. */
export interface Change {
  readonly stops: number;
  readonly red: number;
  readonly blue: number;
}

export interface Walk {
  /** How many photos each ring has; all rings of one walk in a row. */
  readonly perRing: number;
  readonly rings: number;
}

/** What the photos' EXIF says of the exposure: all of it, nothing, or the same for all whatever was done. */
export type Told = "said" | "no EXIF" | "not said";

export interface Pattern {
  readonly name: string;
  /** The change of photo `i` of the walk. */
  change(i: number, walk: Walk, seed: number): Partial<Change>;
  /** Whether anything is to be put right at all. */
  readonly wrong: boolean;
}

const inRun = (i: number, from: number, count: number): boolean => i >= from && i < from + count;
const share = (i: number, { perRing, rings }: Walk): number => i / (perRing * rings - 1);
const around = (i: number, { perRing }: Walk): number => (2 * Math.PI * (i % perRing)) / perRing;
const cast = (size: number): Partial<Change> => ({ red: size, blue: -size });

/** Steps, runs, rings, sides, drifts and what alternates, in exposure and in colour; and what is in order. */
export const PATTERNS: readonly Pattern[] = [
  { name: "in order", wrong: false, change: () => ({}) },
  {
    name: "a hand's breadth of automatic exposure, 0.07 stop",
    wrong: false,
    change: (i, _, seed) => ({ stops: 0.07 * createRandom(seed, 5, i).normal() }),
  },
  {
    name: "three single photos",
    wrong: true,
    change: (i) => ({ stops: i === 4 ? 1 : i === 13 ? -0.9 : i === 22 ? 0.7 : 0 }),
  },
  { name: "a run of 12 at +1", wrong: true, change: (i) => ({ stops: inRun(i, 8, 12) ? 1 : 0 }) },
  {
    name: "runs at +0.7 and -1",
    wrong: true,
    change: (i) => ({ stops: inRun(i, 3, 7) ? 0.7 : inRun(i, 20, 6) ? -1 : 0 }),
  },
  {
    name: "the second ring at +1",
    wrong: true,
    change: (i, { perRing }) => ({ stops: i >= perRing ? 1 : 0 }),
  },
  {
    name: "the second ring at -0.7",
    wrong: true,
    change: (i, { perRing }) => ({ stops: i >= perRing ? -0.7 : 0 }),
  },
  {
    name: "one side at +0.8",
    wrong: true,
    change: (i, walk) => ({ stops: Math.cos(around(i, walk)) > 0.3 ? 0.8 : 0 }),
  },
  { name: "drift of 1", wrong: true, change: (i, walk) => ({ stops: share(i, walk) - 0.5 }) },
  { name: "drift of 2", wrong: true, change: (i, walk) => ({ stops: 2 * share(i, walk) - 1.2 }) },
  { name: "drift of 3", wrong: true, change: (i, walk) => ({ stops: 3 * share(i, walk) - 2 }) },
  {
    name: "a camera that adapts, +-0.8 on the way round",
    wrong: true,
    change: (i, walk) => ({ stops: 0.8 * Math.sin(around(i, walk)) - 0.2 }),
  },
  {
    name: "a camera that adapts to each photo, 0.5",
    wrong: true,
    change: (i, _, seed) => ({ stops: 0.5 * createRandom(seed, 6, i).normal() - 0.3 }),
  },
  { name: "every second at +0.8", wrong: true, change: (i) => ({ stops: i % 2 === 0 ? 0.8 : 0 }) },
  { name: "two of three at -0.8", wrong: true, change: (i) => ({ stops: i % 3 === 0 ? 0 : -0.8 }) },
  {
    name: "one photo warmer, one cooler",
    wrong: true,
    change: (i) => cast(i === 6 ? 0.45 : i === 17 ? -0.5 : 0),
  },
  { name: "a run of 8 warmer", wrong: true, change: (i) => cast(inRun(i, 9, 8) ? 0.45 : 0) },
  { name: "the second ring cooler", wrong: true, change: (i, { perRing }) => cast(i >= perRing ? -0.4 : 0) },
  { name: "colour drifts by 1", wrong: true, change: (i, walk) => cast(share(i, walk) - 0.5) },
  { name: "every second warmer", wrong: true, change: (i) => cast(i % 2 === 0 ? 0.4 : 0) },
  {
    name: "white balance of each photo anew, 0.3",
    wrong: true,
    change: (i, _, seed) => cast(0.3 * createRandom(seed, 7, i).normal()),
  },
  {
    name: "a run of 7, darker and warmer",
    wrong: true,
    change: (i) => (inRun(i, 11, 7) ? { stops: -0.9, ...cast(0.4) } : {}),
  },
];

/** A pattern's change with nothing left out. */
export function changeOf(pattern: Pattern, i: number, walk: Walk, seed: number): Change {
  return { stops: 0, red: 0, blue: 0, ...pattern.change(i, walk, seed) };
}
