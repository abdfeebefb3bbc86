import type { Arena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
import type { Cells, Features } from "../../types/photo.js";
import { PATCH_FIELDS, PATCH_SATURATED_RATIO } from "../features/features.js";
import { luminanceOfCell } from "../photo/cells.js";
import { LUMINANCE_WEIGHTS } from "../photo/tone.js";
import { ON_SUBJECT, shareAt } from "../subject/cover.js";
import { innerOf, type Region } from "./region.js";

/** What a warp of the subject's surface needs of a photo. */
export interface WarpInput {
  readonly features: Features;
  readonly cells: Cells;
  /** On the grid of `cells`. */
  readonly region: Region;
  /** The region without its rim: where the surface is warped from and to. */
  readonly inner: Region;
  /** Its shares, as the kernels take them. */
  readonly innerShare: Float64Array;
  /** First cell of each block of cells with some of `inner` in it. */
  readonly blocks: Int32Array;
  /** Linear luminance of each cell. */
  readonly light: Float64Array;
}

/** What a warp needs of a photo, made of its features and cells. */
export function warpInput(
  { features, cells }: Pick<WarpInput, "features" | "cells">,
  region: Region,
): WarpInput {
  const light = new Float64Array(cells.columns * cells.rows);
  for (let cell = 0; cell < light.length; cell++) light[cell] = luminanceOfCell(cells, cell);
  const inner = innerOf(region);
  return {
    features,
    cells,
    region,
    inner,
    innerShare: new Float64Array(inner.share),
    blocks: blocksOf(inner),
    light,
  };
}

/** Where another photo shows the surface in each cell of a photo, in cells of the other: f32 each; NaN where unknown. */
export interface Warp {
  readonly xs: Address;
  readonly ys: Address;
}

/** One movement is fitted for a block of cells: it changes little from one cell to the next. */
const BLOCK = 3;
/** Clipped patches of at least this luminance are highlights or nothing. */
const BLOWN = 0.3;
const MOST_SATURATED = 0.02;

/** Usable matches of a pair, 5 numbers each: place in a, movement to b (shares of a long edge), luminance in a. */
const FIELDS = 5;

/**
 * Warps the subject's surface from photo a to photo b by the verified matches around each place.
 *
 * Highlights make matches of their own: they slide over the surface, along the epipolar lines where the camera walked
 * level, and look verified. So the movement is that of most of the matches around, of those that are not bright before
 * others.
 *
 * @param inliers verified matches: keypoint of a, keypoint of b, and so on
 * @param otherFirst whether b's keypoints come first in them instead
 */
export function warpSurface(
  a: WarpInput,
  b: WarpInput,
  inliers: ArrayLike<number>,
  otherFirst: boolean,
  arena: Arena,
): Warp {
  const { columns, rows } = a.cells;
  const most = FIELDS * (inliers.length >> 1);
  const matches = arena.take(8 * most);
  const count = writeUsable(a, b, inliers, otherFirst, arena.f64(matches, most));
  // Bytes of 255 are no number.
  const xs = arena.filled(4 * columns * rows, 255);
  const ys = arena.filled(4 * columns * rows, 255);
  kernels().followBlocks(
    matches,
    matches + 8 * FIELDS * count,
    arena.copy(a.blocks),
    a.blocks.length,
    BLOCK,
    columns,
    rows,
    Math.max(b.cells.columns, b.cells.rows),
    xs,
    ys,
  );
  return { xs, ys };
}

/** First cell of each block with some of the region in it. */
function blocksOf({ columns, rows, share }: Region): Int32Array {
  const blocks: number[] = [];
  for (let top = 0; top < rows; top += BLOCK) {
    for (let left = 0; left < columns; left += BLOCK) {
      const right = Math.min(columns, left + BLOCK);
      const bottom = Math.min(rows, top + BLOCK);
      if (holdsSubject(share, columns, left, right, top, bottom)) blocks.push(top * columns + left);
    }
  }
  return Int32Array.from(blocks);
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

/** Writes the matches of the subject's surface itself, as far as can be told. @returns how many there are */
function writeUsable(
  a: WarpInput,
  b: WarpInput,
  inliers: ArrayLike<number>,
  otherFirst: boolean,
  out: Float64Array,
): number {
  const longA = Math.max(a.features.widthPx, a.features.heightPx);
  const longB = Math.max(b.features.widthPx, b.features.heightPx);
  let at = 0;
  for (let k = 0; k < inliers.length; k += 2) {
    const i = inliers[otherFirst ? k + 1 : k];
    const j = inliers[otherFirst ? k : k + 1];
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
  return at / FIELDS;
}

function onSubject({ features, region }: WarpInput, i: number): boolean {
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
