import { medianOfFew } from "../statistics.js";
import { ON_SUBJECT } from "../subject/cover.js";
import { type Followed, followSurface, type SubjectSurface } from "./follow.js";
import { cellsOf } from "./region.js";

/** Another photo that shows some of the same surface from somewhere else. */
export interface Partner {
  readonly view: SubjectSurface;
  /** Verified matches: keypoint of this photo, keypoint of the partner, and so on. */
  readonly inliers: ArrayLike<number>;
  /** How much brighter the partner shows the shared surface, stops. */
  readonly driftStops: number;
}

/** Light that does not stay on the surface it falls on. */
export interface MovingLight {
  /** Share of the followed surface that is brighter here than in most other photos, 0 to 1: highlights. */
  readonly brightRatio: number;
  /** The same for darker: shadows that move, and what lies in holes. */
  readonly darkRatio: number;
  /** Share of the subject's cells that could be followed to FEWEST_PARTNERS photos or more, 0 to 1. */
  readonly followedRatio: number;
}

/** A cell is judged by the median of this many other photos at least: one alone may have been followed wrongly. */
const FEWEST_PARTNERS = 2;
/** Smallest change that counts as bright or dark, stops: over the noise of following a textured surface. */
const CHANGE = 0.3;
/** How far off the surface may be followed, cells: the change must hold against all that lies within. */
const SLACK = 0.75;
/** Linear luminance below this is noise. */
const DARKEST = 0.0005;

/**
 * How much of the subject's surface is brighter, or darker, in a photo than the same surface in the photos around. A
 * matt surface looks alike from everywhere, exposure taken out; a highlight goes with the camera and not with the
 * surface. A matt subject measures about 0, whatever its texture. The subject's rim is left out.
 *
 * @returns undefined where no cell of the subject could be followed
 */
export function movingLight(view: SubjectSurface, partners: readonly Partner[]): MovingLight | undefined {
  const inside = cellsOf(view.inner);
  const followed = partners.map((partner) => followSurface(view, partner.view, partner.inliers));
  const { light } = view;
  const changes = new Float64Array(partners.length);
  let known = 0;
  let bright = 0;
  let dark = 0;
  for (const cell of inside) {
    if (light[cell] < DARKEST) continue;
    let count = 0;
    for (let p = 0; p < partners.length; p++) {
      const change = changeAt(light[cell], partners[p], followed[p], cell);
      if (change !== undefined) changes[count++] = change;
    }
    if (count < FEWEST_PARTNERS) continue;
    known++;
    const change = medianOfFew(changes, count);
    if (change > CHANGE) bright++;
    else if (change < -CHANGE) dark++;
  }
  return known === 0
    ? undefined
    : { brightRatio: bright / known, darkRatio: dark / known, followedRatio: known / inside.length };
}

/** How much brighter a cell is here than anything within SLACK of its place there, stops; 0 where something matches. */
function changeAt(
  light: number,
  { view, driftStops }: Partner,
  followed: Followed,
  cell: number,
): number | undefined {
  const { columns, rows } = view.cells;
  const x = followed.x[cell];
  const y = followed.y[cell];
  if (!(x >= 0 && y >= 0 && x <= columns - 1 && y <= rows - 1)) return undefined;
  if (sample(view.inner.share, columns, rows, x, y) < ON_SUBJECT) return undefined;
  let low = Number.POSITIVE_INFINITY;
  let high = DARKEST;
  for (let j = -1; j <= 1; j++) {
    for (let i = -1; i <= 1; i++) {
      const value = sample(view.light, columns, rows, x + i * SLACK, y + j * SLACK);
      if (value > high) high = value;
      if (value < low) low = value;
    }
  }
  const above = Math.log2(light / high) + driftStops;
  if (above > 0) return above;
  const under = Math.log2(light / Math.max(DARKEST, low)) + driftStops;
  return under < 0 ? under : 0;
}

/** Bilinear value of a grid; places outside take the nearest edge. */
function sample(grid: ArrayLike<number>, columns: number, rows: number, x: number, y: number): number {
  const cx = Math.max(0, Math.min(columns - 1, x));
  const cy = Math.max(0, Math.min(rows - 1, y));
  const i = Math.min(columns - 2, Math.floor(cx));
  const j = Math.min(rows - 2, Math.floor(cy));
  const fx = cx - i;
  const fy = cy - j;
  const at = j * columns + i;
  return (
    (1 - fy) * ((1 - fx) * grid[at] + fx * grid[at + 1]) +
    fy * ((1 - fx) * grid[at + columns] + fx * grid[at + columns + 1])
  );
}
