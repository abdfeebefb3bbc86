import type { Cells, Features } from "../../types.js";
import { PATCH_FIELDS, PATCH_SATURATED_RATIO } from "../features/features.js";
import { luminanceOfCell } from "../photo/cells.js";
import { LUMINANCE_WEIGHTS } from "../photo/tone.js";
import { medianOfFew } from "../statistics.js";
import { ON_SUBJECT, shareAt } from "../subject/cover.js";
import { innerOf, type Region } from "./region.js";

/** A photo with its subject, as far as following the subject's surface needs it. */
export interface SubjectSurface {
  readonly features: Features;
  readonly cells: Cells;
  /** On the grid of `cells`. */
  readonly region: Region;
  /** The region without its rim: where the surface is followed from and to. */
  readonly inner: Region;
  /** Linear luminance of each cell. */
  readonly light: Float64Array;
}

/** A photo with its subject, ready to be followed. */
export function subjectSurface(
  { features, cells }: Pick<SubjectSurface, "features" | "cells">,
  region: Region,
): SubjectSurface {
  const light = new Float64Array(cells.columns * cells.rows);
  for (let cell = 0; cell < light.length; cell++) light[cell] = luminanceOfCell(cells, cell);
  return { features, cells, region, inner: innerOf(region), light };
}

/** Where another photo shows the surface in each cell of a photo, in cells of the other; NaN where unknown. */
export interface Followed {
  readonly x: Float32Array;
  readonly y: Float32Array;
}

/** One movement is fitted for a block of cells: it changes little from one cell to the next. */
const BLOCK = 3;
/** How many of the nearest matches decide, within this share of the long edge; fewer than FEWEST say nothing. */
const NEAREST = 20;
const REACH = 0.15;
const FEWEST = 5;
/** Passes of the robust fit, and the residual at which a match starts to lose its say, share of the long edge. */
const PASSES = 6;
const RESIDUAL = 0.006;
/** Share of the matches' say that must be left after the fit: below, they do not agree on a movement. */
const LEAST_AGREEMENT = 0.3;
/** Distance within which nearest matches count about alike, share of the long edge. */
const NEAR = 0.02;
/** How firmly the movement is held to be the same all over the block where few matches say otherwise: distance. */
const STIFFNESS = 0.015;
/** A patch this many times as bright as those around it may be a highlight, whose say is small. */
const SUSPICIOUS = 1.4;
const SAY_OF_SUSPICIOUS = 0.2;
/** Clipped patches of at least this luminance are highlights or nothing. */
const BLOWN = 0.3;
const MOST_SATURATED = 0.02;

/** Usable matches of a pair, 5 numbers each: place in a, movement to b (shares of a long edge), luminance in a. */
const FIELDS = 5;

/**
 * Follows the subject's surface from photo a to photo b by the verified matches around each place.
 *
 * Highlights make matches of their own: they slide over the surface, along the epipolar lines where the camera walked
 * level, and look verified. So the movement is that of most of the matches around, of those that are not bright before
 * others.
 *
 * @param inliers verified matches: keypoint of a, keypoint of b, and so on
 */
export function followSurface(a: SubjectSurface, b: SubjectSurface, inliers: ArrayLike<number>): Followed {
  const { columns, rows } = a.cells;
  const { share } = a.inner;
  const long = Math.max(columns, rows);
  const longB = Math.max(b.cells.columns, b.cells.rows);
  const x = new Float32Array(columns * rows).fill(Number.NaN);
  const y = x.slice();
  const matches = usableMatches(a, b, inliers);
  const nearest = createNearest();
  const { fit } = nearest;
  for (let top = 0; top < rows; top += BLOCK) {
    for (let left = 0; left < columns; left += BLOCK) {
      const right = Math.min(columns, left + BLOCK);
      const bottom = Math.min(rows, top + BLOCK);
      if (!holdsSubject(share, columns, left, right, top, bottom)) continue;
      const middleX = (left + right) / 2 / long;
      const middleY = (top + bottom) / 2 / long;
      if (!fitMovement(matches, middleX, middleY, nearest)) continue;
      for (let row = top; row < bottom; row++) {
        for (let column = left; column < right; column++) {
          const px = (column + 0.5) / long;
          const py = (row + 0.5) / long;
          const dx = px - middleX;
          const dy = py - middleY;
          const cell = row * columns + column;
          x[cell] = (px + fit[0] + fit[1] * dx + fit[2] * dy) * longB - 0.5;
          y[cell] = (py + fit[3] + fit[4] * dx + fit[5] * dy) * longB - 0.5;
        }
      }
    }
  }
  return { x, y };
}

function holdsSubject(
  share: ArrayLike<number>,
  columns: number,
  left: number,
  right: number,
  top: number,
  bottom: number,
): boolean {
  for (let row = top; row < bottom; row++) {
    for (let column = left; column < right; column++) {
      if (share[row * columns + column] >= ON_SUBJECT) return true;
    }
  }
  return false;
}

function usableMatches(a: SubjectSurface, b: SubjectSurface, inliers: ArrayLike<number>): Float64Array {
  const out = new Float64Array(FIELDS * (inliers.length >> 1));
  const longA = Math.max(a.features.widthPx, a.features.heightPx);
  const longB = Math.max(b.features.widthPx, b.features.heightPx);
  let at = 0;
  for (let k = 0; k < inliers.length; k += 2) {
    const i = inliers[k];
    const j = inliers[k + 1];
    if (!onSubject(a, i) || !onSubject(b, j) || isBlown(a.features, i) || isBlown(b.features, j)) continue;
    const x = (a.features.x[i] + 0.5) / longA;
    const y = (a.features.y[i] + 0.5) / longA;
    out[at] = x;
    out[at + 1] = y;
    out[at + 2] = (b.features.x[j] + 0.5) / longB - x;
    out[at + 3] = (b.features.y[j] + 0.5) / longB - y;
    out[at + 4] = patchLuminance(a.features, i);
    at += FIELDS;
  }
  return out.subarray(0, at);
}

function onSubject({ features, region }: SubjectSurface, i: number): boolean {
  return shareAt(features, i, region) >= ON_SUBJECT;
}

function isBlown(features: Features, i: number): boolean {
  return (
    features.patches[PATCH_FIELDS * i + PATCH_SATURATED_RATIO] > MOST_SATURATED &&
    patchLuminance(features, i) > BLOWN
  );
}

function patchLuminance({ patches }: Features, i: number): number {
  const at = PATCH_FIELDS * i;
  return (
    LUMINANCE_WEIGHTS[0] * patches[at] +
    LUMINANCE_WEIGHTS[1] * patches[at + 1] +
    LUMINANCE_WEIGHTS[2] * patches[at + 2]
  );
}

/** The matches nearest to a place, nearest first, and room to work in: thousands of blocks share it. */
interface Nearest {
  count: number;
  readonly squared: Float64Array;
  readonly match: Int32Array;
  readonly base: Float64Array;
  readonly weight: Float64Array;
  readonly sorted: Float64Array;
  /** The movement fitted: f0 to f5. */
  readonly fit: Float64Array;
}

function createNearest(): Nearest {
  return {
    count: 0,
    squared: new Float64Array(NEAREST + 1),
    match: new Int32Array(NEAREST + 1),
    base: new Float64Array(NEAREST),
    weight: new Float64Array(NEAREST),
    sorted: new Float64Array(NEAREST),
    fit: new Float64Array(6),
  };
}

function findNearest(matches: Float64Array, x: number, y: number, out: Nearest): void {
  out.count = 0;
  for (let at = 0; at < matches.length; at += FIELDS) {
    const squared = (matches[at] - x) ** 2 + (matches[at + 1] - y) ** 2;
    if (squared >= REACH * REACH || (out.count === NEAREST && squared >= out.squared[NEAREST - 1])) continue;
    let k = out.count;
    while (k > 0 && out.squared[k - 1] > squared) {
      out.squared[k] = out.squared[k - 1];
      out.match[k] = out.match[k - 1];
      k--;
    }
    out.squared[k] = squared;
    out.match[k] = at;
    if (out.count < NEAREST) out.count++;
  }
}

/** Median of one field over the nearest matches. */
function medianField(matches: Float64Array, { count, match, sorted }: Nearest, field: number): number {
  for (let k = 0; k < count; k++) sorted[k] = matches[match[k] + field];
  return medianOfFew(sorted, count);
}

/**
 * Movement around a place: a robust affine fit to the nearest matches, u = f0 + f1 dx + f2 dy and v = f3 + f4 dx + f5 dy.
 *
 * @returns whether there are enough matches and they agree: then the movement is in nearest.fit
 * @see Holland & Welsch 1977 for the weights (Cauchy)
 */
function fitMovement(matches: Float64Array, x: number, y: number, nearest: Nearest): boolean {
  findNearest(matches, x, y, nearest);
  const { count, squared, match, base, weight, fit } = nearest;
  if (count < FEWEST) return false;
  const usualLuminance = medianField(matches, nearest, 4);
  const near = Math.max(NEAR * NEAR, squared[count - 1] / 2);
  let total = 0;
  for (let k = 0; k < count; k++) {
    const suspicious = matches[match[k] + 4] > SUSPICIOUS * usualLuminance;
    base[k] = (suspicious ? SAY_OF_SUSPICIOUS : 1) / (1 + squared[k] / near);
    total += base[k];
  }
  fit.fill(0);
  fit[0] = medianField(matches, nearest, 2);
  fit[3] = medianField(matches, nearest, 3);
  let left = 0;
  for (let pass = 0; pass < PASSES; pass++) {
    left = 0;
    for (let k = 0; k < count; k++) {
      const at = match[k];
      const dx = matches[at] - x;
      const dy = matches[at + 1] - y;
      const u = matches[at + 2] - fit[0] - fit[1] * dx - fit[2] * dy;
      const v = matches[at + 3] - fit[3] - fit[4] * dx - fit[5] * dy;
      weight[k] = base[k] / (1 + (u * u + v * v) / (RESIDUAL * RESIDUAL));
      left += weight[k];
    }
    fitAffine(matches, x, y, nearest);
  }
  return left >= LEAST_AGREEMENT * total;
}

/** Weighted least squares with a wish for one movement all over. */
function fitAffine(matches: Float64Array, x: number, y: number, nearest: Nearest): void {
  const { count, match, weight, fit } = nearest;
  let sum = 0;
  let mx = 0;
  let my = 0;
  let mu = 0;
  let mv = 0;
  for (let k = 0; k < count; k++) {
    const at = match[k];
    sum += weight[k];
    mx += weight[k] * matches[at];
    my += weight[k] * matches[at + 1];
    mu += weight[k] * matches[at + 2];
    mv += weight[k] * matches[at + 3];
  }
  mx /= sum;
  my /= sum;
  mu /= sum;
  mv /= sum;
  let xx = sum * STIFFNESS * STIFFNESS;
  let yy = xx;
  let xy = 0;
  let ux = 0;
  let uy = 0;
  let vx = 0;
  let vy = 0;
  for (let k = 0; k < count; k++) {
    const at = match[k];
    const w = weight[k];
    const dx = matches[at] - mx;
    const dy = matches[at + 1] - my;
    const du = matches[at + 2] - mu;
    const dv = matches[at + 3] - mv;
    xx += w * dx * dx;
    xy += w * dx * dy;
    yy += w * dy * dy;
    ux += w * du * dx;
    uy += w * du * dy;
    vx += w * dv * dx;
    vy += w * dv * dy;
  }
  const determinant = xx * yy - xy * xy;
  fit[1] = (ux * yy - uy * xy) / determinant;
  fit[2] = (uy * xx - ux * xy) / determinant;
  fit[4] = (vx * yy - vy * xy) / determinant;
  fit[5] = (vy * xx - vx * xy) / determinant;
  fit[0] = mu + fit[1] * (x - mx) + fit[2] * (y - my);
  fit[3] = mv + fit[4] * (x - mx) + fit[5] * (y - my);
}
