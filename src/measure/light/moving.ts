import { type Arena, withArena } from "../../kernels/arena.js";
import { kernels } from "../../kernels/kernels.js";
import { median, medianOfFew } from "../statistics.js";
import { ON_SUBJECT } from "../subject/cover.js";
import { cellsOf } from "./region.js";
import { type WarpInput, warpSurface } from "./warp.js";

/** Another photo that shows some of the same surface from somewhere else. */
export interface Partner {
  readonly view: WarpInput;
  /** Verified matches: keypoint of this photo, keypoint of the partner, and so on; or the partner's first. */
  readonly inliers: ArrayLike<number>;
  readonly otherFirst: boolean;
  /** How much brighter the partner shows the shared surface, stops. */
  readonly driftStops: number;
}

/** Light that does not stay on the surface it falls on. */
export interface MovingLight {
  /**
   * Share of the followed surface that is brighter here than in most other photos, and than half of the subject, 0 to 1:
   * highlights.
   */
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
export function movingLight(view: WarpInput, partners: readonly Partner[]): MovingLight | undefined {
  return withArena((arena) => {
    const inside = Int32Array.from(cellsOf(view.inner));
    const ranges = partners.map((partner) => lightAround(view, partner, inside, arena));
    const changes = new Float64Array(partners.length);
    if (inside.length === 0) return undefined;
    const usual = median(Float64Array.from(inside, (cell) => view.light[cell]));
    let known = 0;
    let bright = 0;
    let dark = 0;
    for (let k = 0; k < inside.length; k++) {
      const light = view.light[inside[k]];
      if (light < DARKEST) continue;
      let count = 0;
      for (let p = 0; p < partners.length; p++) {
        const low = ranges[p][2 * k];
        const high = ranges[p][2 * k + 1];
        // Not so where they are NaN.
        if (low <= high) changes[count++] = changeOf(light, low, high, partners[p].driftStops);
      }
      if (count < FEWEST_PARTNERS) continue;
      known++;
      const change = medianOfFew(changes, count);
      // What shines is brighter than most of the subject: a dark cell that changes is a hole, noise or a bent tone.
      if (change > CHANGE && light > usual) bright++;
      else if (change < -CHANGE) dark++;
    }
    return known === 0
      ? undefined
      : { brightRatio: bright / known, darkRatio: dark / known, followedRatio: known / inside.length };
  });
}

/**
 * Lowest and highest light within SLACK of the place where the partner shows each of some cells of a view.
 *
 * @returns two numbers a cell, in the arena; NaN where the partner does not show it
 */
function lightAround(
  view: WarpInput,
  { view: other, inliers, otherFirst }: Partner,
  cells: Int32Array,
  arena: Arena,
): Float64Array {
  const ranges = arena.take(16 * cells.length);
  withArena(() => {
    const { xs, ys } = warpSurface(view, other, inliers, otherFirst, arena);
    kernels().lightAround(
      arena.copy(cells),
      cells.length,
      xs,
      ys,
      arena.copy(other.light),
      arena.copy(other.innerShare),
      other.cells.columns,
      other.cells.rows,
      ON_SUBJECT,
      SLACK,
      ranges,
    );
  });
  return arena.f64(ranges, 2 * cells.length);
}

/** How much brighter a cell is here than all that may be its place there, stops; 0 where something matches. */
function changeOf(light: number, low: number, high: number, driftStops: number): number {
  const above = Math.log2(light / Math.max(DARKEST, high)) + driftStops;
  if (above > 0) return above;
  const under = Math.log2(light / Math.max(DARKEST, low)) + driftStops;
  return under < 0 ? under : 0;
}
