import type { Features } from "../../types/photo.js";
import { fitAffine } from "../geometry/affine.js";
import { median } from "../statistics.js";
import { agreedTurnAndZoom, correspond, framePoints } from "./correspondences.js";

/** Cells along the long edge of the grid that support is counted on. */
const SUPPORT_CELLS = 12;
/** Residuals below 1 px of 1200 are keypoint noise, not parallax: half a long edge is 1 here. */
const AFFINE_FLOOR = 2 / 1200;

/**
 * The map is first taken to be the turn and zoom that the keypoints themselves show. Surfaces seen from the side stretch
 * it by .2 or so; parallax hangs together over a surface, so many matches on it are worth few independent ones. In a
 * narrow strip of overlap parallax would else pass for a stretch of the whole frame.
 */
const PRIOR_SIGMA = 0.2;
const PRIOR_WORTH = 12;

/**
 * Share of a's frame that lands inside b's under the affine map that fits most of the verified matches, 0 to 1.
 * Not symmetric: a close-up lies wholly inside the wide view, not the other way.
 *
 * @param inliers verified matches: index in a, index in b, and so on
 * @returns undefined where fewer than 3 matches, or matches on one line, fix no map
 */
export function overlapRatio(a: Features, b: Features, inliers: Int32Array): number | undefined {
  if (inliers.length < 6) return undefined;
  const matches = correspond(a, b, inliers);
  const { turn, zoom } = agreedTurnAndZoom(matches);
  const [cos, sin] = [2 ** zoom * Math.cos(turn), 2 ** zoom * Math.sin(turn)];
  const prior = { linear: [cos, -sin, sin, cos], sigma: PRIOR_SIGMA, worth: PRIOR_WORTH } as const;
  const m = fitAffine(matches.a, matches.b, AFFINE_FLOOR, prior);
  if (m === undefined) return undefined;
  const halfA = Math.max(a.widthPx, a.heightPx);
  const halfB = Math.max(b.widthPx, b.heightPx);
  const [ax, ay] = [a.widthPx / halfA, a.heightPx / halfA];
  const [bx, by] = [b.widthPx / halfB, b.heightPx / halfB];
  const corners = [-ax, -ay, ax, -ay, ax, ay, -ax, ay];
  const landed: number[] = [];
  for (let k = 0; k < 8; k += 2) {
    const x = corners[k];
    const y = corners[k + 1];
    landed.push(m[0] * x + m[1] * y + m[2], m[3] * x + m[4] * y + m[5]);
  }
  const whole = polygonArea(landed);
  if (!(whole > 0)) return undefined;
  const ratio = polygonArea(clipToFrame(landed, bx, by)) / whole;
  return Math.min(1, ratio);
}

/** Cuts a convex polygon (x, y interleaved) to |x| <= halfWidth, |y| <= halfHeight (Sutherland and Hodgman 1974). */
function clipToFrame(polygon: number[], halfWidth: number, halfHeight: number): number[] {
  let out = clipHalfPlane(polygon, 1, 0, halfWidth);
  out = clipHalfPlane(out, -1, 0, halfWidth);
  out = clipHalfPlane(out, 0, 1, halfHeight);
  return clipHalfPlane(out, 0, -1, halfHeight);
}

/** Keeps what has nx x + ny y <= limit. */
function clipHalfPlane(polygon: number[], nx: number, ny: number, limit: number): number[] {
  const out: number[] = [];
  for (let k = 0; k < polygon.length; k += 2) {
    const next = (k + 2) % polygon.length;
    const [px, py, qx, qy] = [polygon[k], polygon[k + 1], polygon[next], polygon[next + 1]];
    const p = nx * px + ny * py - limit;
    const q = nx * qx + ny * qy - limit;
    if (p <= 0) out.push(px, py);
    if (p < 0 !== q < 0 && p !== q) {
      const t = p / (p - q);
      out.push(px + t * (qx - px), py + t * (qy - py));
    }
  }
  return out;
}

/** Area of a simple polygon, x, y interleaved (shoelace formula). */
export function polygonArea(polygon: readonly number[]): number {
  let twice = 0;
  for (let k = 0; k < polygon.length; k += 2) {
    const next = (k + 2) % polygon.length;
    twice += polygon[k] * polygon[next + 1] - polygon[next] * polygon[k + 1];
  }
  return Math.abs(twice) / 2;
}

/**
 * Share of the grid cells of a that hold a keypoint which also hold a verified match, 0 to 1: how much of what could
 * be matched was. Square cells, SUPPORT_CELLS along the long edge.
 *
 * @returns undefined for a photo without keypoints
 */
export function supportRatio(a: Features, inliers: Int32Array): number | undefined {
  if (a.count === 0) return undefined;
  const side = Math.max(a.widthPx, a.heightPx) / SUPPORT_CELLS;
  const cellOf = (i: number) =>
    Math.floor((a.y[i] + 0.5) / side) * SUPPORT_CELLS + Math.floor((a.x[i] + 0.5) / side);
  const occupied = new Set<number>();
  for (let i = 0; i < a.count; i++) occupied.add(cellOf(i));
  const matched = new Set<number>();
  for (let k = 0; k < inliers.length; k += 2) matched.add(cellOf(inliers[k]));
  return matched.size / occupied.size;
}

/**
 * Median distance that verified matches moved between the frames, as a share of the long edge (each photo's own, from
 * its centre). Symmetric.
 *
 * @returns undefined without matches
 */
export function shiftRatio(a: Features, b: Features, inliers: Int32Array): number | undefined {
  const count = inliers.length >> 1;
  if (count === 0) return undefined;
  const from = framePoints(a, inliers, 0, 2);
  const to = framePoints(b, inliers, 1, 2);
  const moved = new Float64Array(count);
  // Half a long edge is 1.
  for (let k = 0; k < count; k++)
    moved[k] = Math.hypot(to[2 * k] - from[2 * k], to[2 * k + 1] - from[2 * k + 1]) / 2;
  return median(moved);
}
