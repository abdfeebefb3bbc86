import type { Arena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
import type { Tracks } from "./tracks.js";

/** Of one observation along x, then along y: slopes by the camera (6), distortion, focal factor and the point (3). */
export const ROW = 11;
/** Where in a row the slopes by distortion, focal factor and point begin; the camera's six stand before them. */
export const K1 = 6;
export const FOCAL = 7;
export const POINT = 8;

/** Normal equations of one problem, written anew in every step: views of the kernels' memory, and where they lie. */
export interface Workspace {
  readonly points: number;
  /** Cameras and lens: lower triangle of size * size, and the right side. */
  readonly h: Float64Array;
  readonly b: Float64Array;
  /** Unknowns that each point's observations touch: those of point n from start[n] to start[n + 1], ascending. */
  readonly start: Int32Array;
  readonly rows: Int32Array;
  /** Mixed slopes of those unknowns and the point's x, then its y, then its z: `plane` numbers each. */
  readonly w: Float64Array;
  readonly plane: number;
  /** Inverse of each point's own equations (xx, xy, xz, yy, yz, zz), and their right side. */
  readonly inverse: Float64Array;
  readonly bp: Float64Array;
  readonly at: Readonly<Record<"h" | "b" | "start" | "rows" | "w" | "inverse" | "bp", Address>>;
}

/** Arena for the equations of some points of the tracks, their unknowns' places laid out; all else is still to be written. */
export function workspaceFor(
  size: number,
  shared: number,
  points: readonly number[],
  tracks: Tracks,
  arena: Arena,
): Workspace {
  const lengths = points.map((p) => 6 * (tracks.start[p + 1] - tracks.start[p]) + shared);
  const total = lengths.reduce((sum, length) => sum + length, 0);
  const at = {
    h: arena.take(8 * size * size),
    b: arena.take(8 * size),
    start: arena.filled(4 * (points.length + 1)),
    rows: arena.take(4 * total),
    w: arena.take(24 * total),
    inverse: arena.take(48 * points.length),
    bp: arena.take(24 * points.length),
  };
  const start = arena.i32(at.start, points.length + 1);
  lengths.forEach((length, n) => {
    start[n + 1] = start[n] + length;
  });
  return {
    points: points.length,
    h: arena.f64(at.h, size * size),
    b: arena.f64(at.b, size),
    start,
    rows: arena.i32(at.rows, total),
    w: arena.f64(at.w, 3 * total),
    plane: total,
    inverse: arena.f64(at.inverse, 6 * points.length),
    bp: arena.f64(at.bp, 3 * points.length),
    at,
  };
}

/** One observation's share of the cameras' and the lens's own equations. */
export function addObservation(
  { h, b }: Workspace,
  jacobian: Float64Array,
  residual: Float64Array,
  weight: number,
  camera: number,
  size: number,
  shared: number,
): void {
  const lens = size - shared;
  for (let a = 0; a < K1 + shared; a++) {
    const ja = weight * jacobian[a];
    const jb = weight * jacobian[ROW + a];
    const row = a < K1 ? camera + a : lens + a - K1;
    const at = row * size;
    b[row] -= ja * residual[0] + jb * residual[1];
    const last = Math.min(a, K1 - 1);
    for (let e = 0; e <= last; e++) h[at + camera + e] += ja * jacobian[e] + jb * jacobian[ROW + e];
    for (let e = K1; e <= a; e++) h[at + lens + e - K1] += ja * jacobian[e] + jb * jacobian[ROW + e];
  }
}

/** Its share of the mixed equations of unknowns and point. */
export function addMixed(
  { w, plane, rows }: Workspace,
  jacobian: Float64Array,
  weight: number,
  at: number,
  lens: number,
  camera: number,
  shared: number,
): void {
  for (let a = 0; a < K1 + shared; a++) {
    const ja = weight * jacobian[a];
    const jb = weight * jacobian[ROW + a];
    const local = a < K1 ? at + a : lens + a - K1;
    if (a < K1) rows[local] = camera + a;
    w[local] += ja * jacobian[POINT] + jb * jacobian[ROW + POINT];
    w[plane + local] += ja * jacobian[POINT + 1] + jb * jacobian[ROW + POINT + 1];
    w[2 * plane + local] += ja * jacobian[POINT + 2] + jb * jacobian[ROW + POINT + 2];
  }
}

/** Its share of the point's own equations: v is (xx, xy, xz, yy, yz, zz). */
export function addPoint(
  bp: Float64Array,
  at: number,
  v: Float64Array,
  jacobian: Float64Array,
  residual: Float64Array,
  weight: number,
): void {
  for (let a = 0; a < 3; a++) {
    const ja = weight * jacobian[POINT + a];
    const jb = weight * jacobian[ROW + POINT + a];
    bp[at + a] -= ja * residual[0] + jb * residual[1];
    for (let e = a; e < 3; e++)
      v[a === 0 ? e : a + e + 1] += ja * jacobian[POINT + e] + jb * jacobian[ROW + POINT + e];
  }
}

/** Takes all points out of the equations of cameras and lens. */
export function eliminate({ points, at, plane }: Workspace, size: number, shared: number): void {
  const { start, rows, w, inverse, bp, h, b } = at;
  kernels().eliminatePoints(points, start, rows, w, plane, inverse, bp, h, b, size, shared);
}

/** Inverse of a symmetric 3 x 3 matrix (xx, xy, xz, yy, yz, zz), its diagonal raised by the damping; 0 where singular. */
export function invertSymmetric(v: Float64Array, damping: number, out: Float64Array, at: number): void {
  const raise = 1 + damping;
  const floor = 1e-12 * (v[0] + v[3] + v[5]) + Number.MIN_VALUE;
  const xx = v[0] * raise + floor;
  const yy = v[3] * raise + floor;
  const zz = v[5] * raise + floor;
  const xy = v[1];
  const xz = v[2];
  const yz = v[4];
  const c00 = yy * zz - yz * yz;
  const c01 = xz * yz - xy * zz;
  const c02 = xy * yz - xz * yy;
  const det = xx * c00 + xy * c01 + xz * c02;
  const scale = det > 0 ? 1 / det : 0;
  out[at] = c00 * scale;
  out[at + 1] = c01 * scale;
  out[at + 2] = c02 * scale;
  out[at + 3] = (xx * zz - xz * xz) * scale;
  out[at + 4] = (xy * xz - xx * yz) * scale;
  out[at + 5] = (xx * yy - xy * xy) * scale;
}

/** out = m x for a symmetric 3 x 3 matrix stored like {@link invertSymmetric}'s. */
export function timesSymmetric(
  m: Float64Array,
  at: number,
  x: Float64Array,
  out: Float64Array,
  to: number,
): void {
  out[to] = m[at] * x[0] + m[at + 1] * x[1] + m[at + 2] * x[2];
  out[to + 1] = m[at + 1] * x[0] + m[at + 3] * x[1] + m[at + 4] * x[2];
  out[to + 2] = m[at + 2] * x[0] + m[at + 4] * x[1] + m[at + 5] * x[2];
}
