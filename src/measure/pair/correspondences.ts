import type { Features } from "../../types/photo.js";

/** Matched positions, centred and scaled so that half a long edge is 1: fit for linear algebra and any size. */
export interface Correspondences {
  readonly count: number;
  /** Points of a and of b, x, y interleaved. */
  readonly a: Float64Array;
  readonly b: Float64Array;
  /** Angle of b's keypoint less a's, radians in [-pi, pi). */
  readonly turn: Float64Array;
  /** log2 of b's keypoint scale over a's, each as a share of its long edge. */
  readonly zoom: Float64Array;
}

/** Centres and scales the positions of features `indexes[start]`, `indexes[start + 2]`... */
export function framePoints(
  features: Features,
  indexes: ArrayLike<number>,
  start: number,
  stride: number,
): Float64Array {
  const half = Math.max(features.widthPx, features.heightPx) / 2;
  const centreX = (features.widthPx - 1) / 2;
  const centreY = (features.heightPx - 1) / 2;
  const count = Math.ceil((indexes.length - start) / stride);
  const points = new Float64Array(2 * count);
  for (let k = 0; k < count; k++) {
    const i = indexes[start + stride * k];
    points[2 * k] = (features.x[i] - centreX) / half;
    points[2 * k + 1] = (features.y[i] - centreY) / half;
  }
  return points;
}

/** @param matches index in a, index in b, and so on */
export function correspond(a: Features, b: Features, matches: Int32Array): Correspondences {
  const count = matches.length >> 1;
  const turn = new Float64Array(count);
  const zoom = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    const i = matches[2 * k];
    const j = matches[2 * k + 1];
    turn[k] = turnBetween(a, i, b, j);
    zoom[k] = zoomBetween(a, i, b, j);
  }
  return { count, a: framePoints(a, matches, 0, 2), b: framePoints(b, matches, 1, 2), turn, zoom };
}

/** Angle of keypoint j of b less that of i of a, radians in [-pi, pi). */
export function turnBetween(a: Features, i: number, b: Features, j: number): number {
  return wrapAngle(b.angle[j] - a.angle[i]);
}

/** log2 of the scale of keypoint j of b over that of i of a, each as a share of its long edge. */
export function zoomBetween(a: Features, i: number, b: Features, j: number): number {
  const sizes = Math.max(a.widthPx, a.heightPx) / Math.max(b.widthPx, b.heightPx);
  return Math.log2((b.scale[j] / a.scale[i]) * sizes);
}

/** Brings an angle to [-pi, pi). */
export function wrapAngle(angle: number): number {
  const turned = angle + Math.PI;
  return turned - 2 * Math.PI * Math.floor(turned / (2 * Math.PI)) - Math.PI;
}

/** Turn (radians) and zoom (log2 of scale) of b over a: the mean direction and the median of the matches'. */
export function agreedTurnAndZoom(matches: Correspondences): { turn: number; zoom: number } {
  let cos = 0;
  let sin = 0;
  for (const turn of matches.turn) {
    cos += Math.cos(turn);
    sin += Math.sin(turn);
  }
  const zooms = Float64Array.from(matches.zoom).sort();
  return { turn: Math.atan2(sin, cos), zoom: matches.count === 0 ? 0 : zooms[zooms.length >> 1] };
}
