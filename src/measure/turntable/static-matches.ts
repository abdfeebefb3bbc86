import type { Features } from "../../types/photo.js";

/** What the matches of two photos from different sides say about what stands still in the picture. */
export interface StaticMatches {
  /** Matches that one shift, slight roll and change of scale of the whole picture explains. */
  readonly count: number;
  /** Their share of the matches, 0 to 1. */
  readonly share: number;
  /** Cells of an 8 x 8 grid over the picture that hold one. */
  readonly cells: number;
  /** Width and height between their outer tenths, as shares of the long edge, 0 to 1. */
  readonly widthRatio: number;
  readonly heightRatio: number;
  /** Share of the picture that shows something else now, 0 to 1: where there are keypoints, but hardly any stands still. */
  readonly changedRatio: number;
  /** Whether they are enough to say that the picture's background did not move. */
  readonly still: boolean;
}

/** Counts and share that found every far pair before a still background and none of 307 of ordinary walks. */
const FEWEST_MATCHES = 25;
const FEWEST_CELLS = 5;
const SMALLEST_SHARE = 0.2;
/** Distance, as a share of the long edge, within which a match stands still: three times a keypoint's noise in two pictures. */
const WITHIN_RATIO = 0.003;
/**
 * Numbers alone do not tell a camera at rest from a short walk before a wall: there the matches near the upright line
 * through the middle stay in place too, though at 10 degrees apart (x cos 10 = .985 x) only within a third of the long
 * edge. What rests before a camera at rest is as wide as the picture, but may be no higher than a strip of table; or
 * it is most of what matches at all, where the background has texture on one side only.
 */
const SMALLEST_WIDTH_RATIO = 0.4;
const SMALLEST_HEIGHT_RATIO = 0.1;
/** A board shown by hand before a camera at rest, the background textured on its left: .59 to .85 in 12 far pairs. */
const LARGE_SHARE = 0.5;

const GRID = 8;
/**
 * How far the picture of a camera that is meant to rest moves between two photos: share of the long edge, roll in radians
 * and natural logarithm of the scale. Nudging it does little; but photos are cropped around the subject afterwards, each
 * somewhere else (up to a quarter of the long edge between two of a real set), and focusing anew makes them larger or
 * smaller by a hundredth. Of 72 far pairs of three real walks none stands still within this reach either.
 */
const REACH_RATIO = 0.35;
const REACH_ROLL = (3 * Math.PI) / 180;
const REACH_LOG_SCALE = 0.06;
/** Width of the first search for the shift, before the roll is known. */
const FIRST_WITHIN_RATIO = 0.012;
/** A shift of the picture must explain twice as many matches as resting does. */
const SHIFT_WORTH = 0.5;
const MOST_HYPOTHESES = 60;
/** Widths of the passes that settle shift and roll, as multiples of the last. */
const NARROWING = [4, 2, 1, 1];

type Placed = Pick<Features, "x" | "y" | "widthPx" | "heightPx">;

/**
 * Do two photos from different sides show a background that stays where it is in the picture? After a walk nothing
 * does; where the subject was turned before a camera at rest, everything else does, but for the shift, roll and scale of a
 * camera that was nudged or of pictures that were cropped.
 *
 * @param matches index pairs, ratio-tested; not thinned by two-view geometry, which would settle on one motion.
 */
export function staticMatches(a: Placed, b: Placed, matches: ArrayLike<number>): StaticMatches {
  const standing = staticFlags(a, b, matches, WITHIN_RATIO);
  const cells = new Int32Array(GRID * GRID);
  const longEdge = Math.max(a.widthPx, a.heightPx);
  const xs: number[] = [];
  const ys: number[] = [];
  standing.forEach((flag, k) => {
    if (flag === 0) return;
    const index = matches[2 * k];
    xs.push(a.x[index] / longEdge);
    ys.push(a.y[index] / longEdge);
    cells[cellOf(a, index)]++;
  });
  const held = cells.reduce((sum, matched) => sum + (matched > 0 ? 1 : 0), 0);
  const total = matches.length >> 1;
  const count = xs.length;
  const share = total > 0 ? count / total : 0;
  const widthRatio = spreadOf(xs);
  const heightRatio = spreadOf(ys);
  const still =
    count >= FEWEST_MATCHES &&
    held >= FEWEST_CELLS &&
    share >= SMALLEST_SHARE &&
    (widthRatio >= SMALLEST_WIDTH_RATIO || share >= LARGE_SHARE) &&
    heightRatio >= SMALLEST_HEIGHT_RATIO;
  return {
    count,
    share,
    cells: held,
    widthRatio,
    heightRatio,
    changedRatio: changedRatioOf(a, cells),
    still,
  };
}

/** Cell of an 8 x 8 grid over the picture that a keypoint lies in. */
function cellOf(a: Placed, index: number): number {
  const column = Math.min(GRID - 1, Math.floor((a.x[index] / a.widthPx) * GRID));
  const row = Math.min(GRID - 1, Math.floor((a.y[index] / a.heightPx) * GRID));
  return row * GRID + column;
}

/** Keypoints that make a cell one with something to find again. */
const FILLED_CELL = 12;
/** A cell that finds this share of what the whole picture finds again shows something else now. */
const CHANGED_CELL = 0.2;

/** Of the cells with enough keypoints the share whose keypoints are not found again where they were. */
function changedRatioOf(a: Placed, still: Int32Array): number {
  const all = new Int32Array(GRID * GRID);
  for (let index = 0; index < a.x.length; index++) all[cellOf(a, index)]++;
  const found = still.reduce((sum, n) => sum + n, 0) / Math.max(1, a.x.length);
  const filled = Array.from(all.keys()).filter((cell) => all[cell] >= FILLED_CELL);
  const changed = filled.filter((cell) => still[cell] < CHANGED_CELL * found * all[cell]);
  return filled.length > 0 ? changed.length / filled.length : 0;
}

/** Distance between the outer tenths; 0 without values. */
function spreadOf(values: number[]): number {
  if (values.length === 0) return 0;
  values.sort((p, q) => p - q);
  return values[Math.floor(0.9 * (values.length - 1))] - values[Math.ceil(0.1 * (values.length - 1))];
}

/** Dynamic matches stand clear of the background's by more than noise, and by more than a nudge's parallax. */
const DYNAMIC_RATIO = 0.005;

/** Matches that moved against the picture's background: the subject's, where it was turned. */
export function dynamicMatches(
  a: Placed,
  b: Placed,
  matches: ArrayLike<number>,
  withinRatio = DYNAMIC_RATIO,
): Int32Array {
  const kept: number[] = [];
  staticFlags(a, b, matches, withinRatio).forEach((flag, k) => {
    if (flag === 0) kept.push(matches[2 * k], matches[2 * k + 1]);
  });
  return Int32Array.from(kept);
}

/** A shift, roll and change of scale of the picture about its middle, px and radians. */
interface Nudge {
  readonly dx: number;
  readonly dy: number;
  readonly roll: number;
  readonly scale: number;
}

const AT_REST: Nudge = { dx: 0, dy: 0, roll: 0, scale: 1 };

/** Matches as offsets from the pictures' middles: x, y in a, turned by quarter turns, then x, y in b. */
type Offsets = Float64Array;

/**
 * 1 for each static match. The camera at rest may be turned upright between the photos:
 * of the four quarter turns about the middle the one with the most static matches is taken.
 */
function staticFlags(a: Placed, b: Placed, matches: ArrayLike<number>, withinRatio: number): Uint8Array {
  const longEdge = Math.max(a.widthPx, a.heightPx);
  const within = withinRatio * longEdge;
  const offsets = offsetsOf(a, b, matches);
  let best: Uint8Array = new Uint8Array(offsets.length >> 2);
  let most = -1;
  for (let quarter = 0; quarter < 4; quarter++) {
    if (quarter > 0) quarterTurn(offsets);
    let nudge = likeliestShift(offsets, longEdge);
    for (const width of NARROWING) nudge = settle(offsets, nudge, width * within);
    const flags = followers(offsets, isNudge(nudge, longEdge) ? nudge : AT_REST, within);
    const count = flags.reduce((sum, flag) => sum + flag, 0);
    if (count > most) {
      most = count;
      best = flags;
    }
  }
  return best;
}

function isNudge({ dx, dy, roll, scale }: Nudge, longEdge: number): boolean {
  return (
    Math.hypot(dx, dy) <= REACH_RATIO * longEdge &&
    Math.abs(roll) <= REACH_ROLL &&
    Math.abs(Math.log(scale)) <= REACH_LOG_SCALE
  );
}

function offsetsOf(a: Placed, b: Placed, matches: ArrayLike<number>): Offsets {
  const offsets = new Float64Array(2 * matches.length);
  for (let k = 0; k < matches.length; k += 2) {
    offsets[2 * k] = a.x[matches[k]] - (a.widthPx - 1) / 2;
    offsets[2 * k + 1] = a.y[matches[k]] - (a.heightPx - 1) / 2;
    offsets[2 * k + 2] = b.x[matches[k + 1]] - (b.widthPx - 1) / 2;
    offsets[2 * k + 3] = b.y[matches[k + 1]] - (b.heightPx - 1) / 2;
  }
  return offsets;
}

function quarterTurn(offsets: Offsets): void {
  for (let k = 0; k < offsets.length; k += 4) {
    const x = offsets[k];
    offsets[k] = -offsets[k + 1];
    offsets[k + 1] = x;
  }
}

/** The shift that most matches share, among those of some of them and none at all. */
function likeliestShift(offsets: Offsets, longEdge: number): Nudge {
  const within = FIRST_WITHIN_RATIO * longEdge;
  let best = AT_REST;
  let most = countFollowers(offsets, AT_REST, within);
  const stride = 4 * Math.max(1, Math.floor(offsets.length / 4 / MOST_HYPOTHESES));
  for (let k = 0; k < offsets.length; k += stride) {
    const nudge = { dx: offsets[k + 2] - offsets[k], dy: offsets[k + 3] - offsets[k + 1], roll: 0, scale: 1 };
    const size = Math.hypot(nudge.dx, nudge.dy);
    if (size > REACH_RATIO * longEdge) continue;
    const count = (size <= within ? 1 : SHIFT_WORTH) * countFollowers(offsets, nudge, within);
    if (count > most) {
      most = count;
      best = nudge;
    }
  }
  return best;
}

/** The shift, roll and scale that best fit the matches within a distance of the given one; the given one without two of them. */
function settle(offsets: Offsets, nudge: Nudge, within: number): Nudge {
  const flags = followers(offsets, nudge, within);
  const mean = [0, 0, 0, 0];
  let count = 0;
  flags.forEach((flag, i) => {
    if (flag === 0) return;
    count++;
    for (let c = 0; c < 4; c++) mean[c] += offsets[4 * i + c];
  });
  if (count < 2) return nudge;
  for (let c = 0; c < 4; c++) mean[c] /= count;
  let along = 0;
  let across = 0;
  let square = 0;
  flags.forEach((flag, i) => {
    if (flag === 0) return;
    const [ax, ay, bx, by] = mean.map((m, c) => offsets[4 * i + c] - m);
    along += ax * bx + ay * by;
    across += ax * by - ay * bx;
    square += ax * ax + ay * ay;
  });
  const roll = Math.atan2(across, along);
  const scale = square > 0 ? Math.hypot(along, across) / square : 1;
  const [cos, sin] = [scale * Math.cos(roll), scale * Math.sin(roll)];
  return {
    dx: mean[2] - cos * mean[0] + sin * mean[1],
    dy: mean[3] - sin * mean[0] - cos * mean[1],
    roll,
    scale,
  };
}

function followers(offsets: Offsets, nudge: Nudge, within: number): Uint8Array {
  const flags = new Uint8Array(offsets.length >> 2);
  const [cos, sin] = [nudge.scale * Math.cos(nudge.roll), nudge.scale * Math.sin(nudge.roll)];
  for (let i = 0; i < flags.length; i++) {
    const x = offsets[4 * i];
    const y = offsets[4 * i + 1];
    const ex = cos * x - sin * y + nudge.dx - offsets[4 * i + 2];
    const ey = sin * x + cos * y + nudge.dy - offsets[4 * i + 3];
    if (ex * ex + ey * ey <= within * within) flags[i] = 1;
  }
  return flags;
}

function countFollowers(offsets: Offsets, nudge: Nudge, within: number): number {
  return followers(offsets, nudge, within).reduce((sum, flag) => sum + flag, 0);
}
