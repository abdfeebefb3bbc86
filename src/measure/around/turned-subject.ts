import type { Features } from "../../types.js";

/** What the matches of two photos from different sides say about what stands still in the picture. */
export interface StillMatches {
  /** Matches in the fullest cluster of equal displacement. */
  readonly count: number;
  /** Their share of the matches, 0 to 1. */
  readonly share: number;
  /** Cells of an 8 x 8 grid over the picture that hold one. */
  readonly cells: number;
  /** Whether they are enough to say that the picture's background did not move. */
  readonly still: boolean;
}

export interface StillOptions {
  /** Displacements within this share of the long edge are alike, and as small as standing still. */
  readonly withinRatio: number;
  readonly fewestMatches: number;
  readonly fewestCells: number;
  readonly smallestShare: number;
}

/** The measuring study's settings: every far pair before a still background, none of 307 of ordinary walks. */
export const STILL_DEFAULTS: StillOptions = {
  withinRatio: 0.012,
  fewestMatches: 25,
  fewestCells: 5,
  smallestShare: 0.2,
};

const GRID = 8;

type Placed = Pick<Features, "x" | "y" | "widthPx" | "heightPx">;

/**
 * Do two photos from different sides show a background that stays where it is in the picture? After a walk nothing
 * does; where the subject was turned before a camera at rest, everything else does.
 *
 * @param matches index pairs, ratio-tested; not thinned by two-view geometry, which would settle on one motion.
 */
export function stillMatches(
  a: Placed,
  b: Placed,
  matches: ArrayLike<number>,
  options: Partial<StillOptions> = {},
): StillMatches {
  const { withinRatio, fewestMatches, fewestCells, smallestShare } = { ...STILL_DEFAULTS, ...options };
  const standing = stillFlags(a, b, matches, withinRatio);
  const cells = new Set<number>();
  let count = 0;
  standing.forEach((flag, k) => {
    if (flag === 0) return;
    count++;
    const column = Math.min(GRID - 1, Math.floor((a.x[matches[2 * k]] / a.widthPx) * GRID));
    const row = Math.min(GRID - 1, Math.floor((a.y[matches[2 * k]] / a.heightPx) * GRID));
    cells.add(row * GRID + column);
  });
  const total = matches.length >> 1;
  const share = total > 0 ? count / total : 0;
  const still = count >= fewestMatches && cells.size >= fewestCells && share >= smallestShare;
  return { count, share, cells: cells.size, still };
}

/** Matches that moved in the picture by more than what counts as standing still: the subject's, where it was turned. */
export function movingMatches(
  a: Placed,
  b: Placed,
  matches: ArrayLike<number>,
  withinRatio = STILL_DEFAULTS.withinRatio,
): Int32Array {
  const kept: number[] = [];
  stillFlags(a, b, matches, withinRatio).forEach((flag, k) => {
    if (flag === 0) kept.push(matches[2 * k], matches[2 * k + 1]);
  });
  return Int32Array.from(kept);
}

/**
 * 1 for each match that stands still in the picture. The camera at rest may be turned upright between the photos:
 * of the four quarter turns about the middle the one with the most still matches is taken.
 */
function stillFlags(a: Placed, b: Placed, matches: ArrayLike<number>, withinRatio: number): Uint8Array {
  const within = withinRatio * Math.max(a.widthPx, a.heightPx);
  let best = new Uint8Array(matches.length >> 1);
  let most = 0;
  for (let quarter = 0; quarter < 4; quarter++) {
    const flags = new Uint8Array(best.length);
    let count = 0;
    for (let k = 0; k < flags.length; k++) {
      let x = a.x[matches[2 * k]] - (a.widthPx - 1) / 2;
      let y = a.y[matches[2 * k]] - (a.heightPx - 1) / 2;
      for (let turn = 0; turn < quarter; turn++) [x, y] = [-y, x];
      const dx = b.x[matches[2 * k + 1]] - (b.widthPx - 1) / 2 - x;
      const dy = b.y[matches[2 * k + 1]] - (b.heightPx - 1) / 2 - y;
      if (dx * dx + dy * dy > within * within) continue;
      flags[k] = 1;
      count++;
    }
    if (count > most) {
      most = count;
      best = flags;
    }
  }
  return best;
}

/** Pairs asked about the background: enough that a few chance likenesses do not decide, few enough to be quick. */
const MOST_FAR_PAIRS = 24;

/**
 * Pairs that most likely show the subject from far apart, for {@link stillMatches}: a quarter of the set or more apart
 * in capture order, spread over the set. Nearby photos of a walk have nearly still backgrounds too, so they are not asked.
 */
export function farPairs(count: number): [number, number][] {
  const found: [number, number][] = [];
  if (count < 4) return found;
  const asked = Math.min(MOST_FAR_PAIRS, count);
  for (let k = 0; k < asked; k++) {
    const i = Math.floor((k * count) / asked);
    // From a quarter to three quarters of the set away, in changing steps.
    const j = (i + Math.floor(count * (0.25 + (0.5 * ((k * 7) % asked)) / asked))) % count;
    if (i !== j) found.push([Math.min(i, j), Math.max(i, j)]);
  }
  return [...new Map(found.map((pair) => [pair.join(" "), pair])).values()];
}

/** Share of far pairs that must see a still background: a walk shows one only where two photos are nearly the same. */
export const TURNED_SHARE = 0.5;

/** Whether the subject was turned in front of a camera at rest; undefined where no pair was asked. */
export function subjectTurned(votes: readonly StillMatches[], share = TURNED_SHARE): boolean | undefined {
  if (votes.length === 0) return undefined;
  return votes.filter(({ still }) => still).length >= share * votes.length;
}
