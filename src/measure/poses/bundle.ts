import { type Arena, withArena } from "../../kernels/arena.js";
import { nearestPointToRays } from "../geometry/normal-equations.js";
import { rotationFromAxisAngle } from "../geometry/rotation.js";
import { applyTransposed, type Mat3, multiply, unit, type Vec3 } from "../geometry/vector.js";
import { upperMedian } from "../statistics.js";
import {
  addMixed,
  addObservation,
  addPoint,
  eliminate,
  FOCAL,
  invertSymmetric,
  K1,
  POINT,
  ROW,
  timesSymmetric,
  type Workspace,
  workspaceFor,
} from "./bundle-equations.js";
import { factorise, substitute } from "./cholesky.js";
import type { Tracks } from "./tracks.js";

export interface BundleCamera {
  /** World to camera. */
  readonly rotation: Mat3;
  readonly centre: Vec3;
}

export interface BundleOptions {
  /** Distance at which an observation's weight has fallen to a quarter, in the rays' unit. */
  readonly limit: number;
  readonly steps: number;
  /** Whether one factor on all focal lengths is solved for too; the lens's distortion always is. */
  readonly freeFocal: boolean;
  /** Standard deviation of the logarithm of the focal factor as known beforehand; LOG_FOCAL_SIGMA unless given. */
  readonly logFocalSigma?: number;
  /** The limit begins this much wider; FIRST_WIDENING unless given. */
  readonly widening?: number;
}

export interface Bundle {
  readonly cameras: readonly BundleCamera[];
  /** True focal lengths over those that the rays were divided by; 1 where it was held. */
  readonly focalFactor: number;
  /** Standard error of its logarithm, from the residuals alone; undefined where it was held or not determined. */
  readonly focalSigma?: number;
  /** Radial distortion: a point at distance r from the middle, in focal lengths, is seen at r (1 + k1 r^2). */
  readonly k1: number;
  /** Median depth of each camera's points; undefined without points. */
  readonly depths: readonly (number | undefined)[];
  /** x, y, z of the points that fit where they are seen, interleaved. */
  readonly points: Float64Array;
  /** Median distance between observation and projection, in the rays' unit. */
  readonly residual: number;
}

/**
 * The start may be far off all over (a wrong focal length bends the whole ring), and a tight limit would then hold most
 * observations for wrong ones: it begins this much wider and halves with every step.
 */
const FIRST_WIDENING = 4;
/** A step that lowers the cost by a smaller share is the last. */
const LEAST_GAIN = 1e-3;
/**
 * A step may raise the cost by this factor if the next leads below: a focal length seen through a narrow view lies along a
 * curved valley, which steps that only go down follow too slowly.
 */
const UPHILL = 3;
/** Fewest observations that fix a camera's six unknowns with something to spare. */
const FEWEST_SEEN = 8;
/**
 * Standard deviations of what is known beforehand. Lenses of phones and cameras move the corner of the picture (r of .8)
 * by 1 to 3 %; without a place to put that, 2 to 6 % of the focal length would take it up (measured on synthetic sets).
 */
const K1_SIGMA = 0.05;
const LOG_FOCAL_SIGMA = 0.15;
/** An observation's own noise as a share of the limit: half a pixel of one and a half. */
const NOISE_SHARE = 1 / 3;

/**
 * Refines all cameras and points of a set together, so that the points project to where they are seen: damped
 * Gauss-Newton on a Geman-McClure cost, points eliminated first (Schur complement). The shared focal factor, which two
 * views aimed at one point do not show, becomes visible through points seen in three photos and more.
 *
 * @param rays x, y of every observation of the tracks, interleaved: less the principal point, over the focal length.
 * @returns undefined with too few points to say anything.
 * @see Hartley and Zisserman, Multiple View Geometry, section 18.1 and appendix 6 (cited from memory).
 */
export function adjustBundle(
  start: readonly BundleCamera[],
  tracks: Tracks,
  rays: Float64Array,
  options: BundleOptions,
): Bundle | undefined {
  return withArena((arena) => adjust(new Problem(start, tracks, rays, options, arena), options));
}

function adjust(start: Problem, options: BundleOptions): Bundle | undefined {
  let problem = start;
  if (problem.points.length === 0) return undefined;
  let damping = 1e-4;
  /** Where an uphill step was taken from; the step after it must lead below. */
  let before: Problem | undefined;
  for (let step = 0; step < options.steps; step++) {
    const widening = Math.max(1, (options.widening ?? FIRST_WIDENING) / 2 ** step);
    const limit = options.limit * widening;
    const change = problem.change(limit, damping);
    const next = change ? problem.moved(change) : undefined;
    const cost = (before ?? problem).cost(limit);
    const nextCost = next ? next.cost(limit) : Number.POSITIVE_INFINITY;
    if (next && nextCost < cost) {
      problem = next;
      before = undefined;
      damping = Math.max(damping / 10, 1e-9);
      if (widening === 1 && cost - nextCost < LEAST_GAIN * cost) break;
    } else if (next && !before && nextCost < UPHILL * cost) {
      before = problem;
      problem = next;
    } else {
      problem = before ?? problem;
      before = undefined;
      damping = Math.max(20 * damping, 1e-4);
      if (damping > 10) break;
    }
  }
  problem = before ?? problem;
  return problem.result();
}

interface State {
  readonly rotations: Float64Array;
  readonly centres: Float64Array;
  readonly places: Float64Array;
  readonly k1: number;
  readonly logFocal: number;
}

class Problem {
  /** Points that could be placed: indexes into the tracks. */
  readonly points: number[] = [];
  private readonly state: State;
  private readonly size: number;
  /** Unknowns that all cameras share, after the cameras' own: distortion, and where free the focal factor. */
  private readonly shared: number;
  private readonly seen: Int32Array;
  private readonly work: Workspace;

  private readonly start: readonly BundleCamera[];
  private readonly tracks: Tracks;
  private readonly rays: Float64Array;
  private readonly options: BundleOptions;

  constructor(
    start: readonly BundleCamera[],
    tracks: Tracks,
    rays: Float64Array,
    options: BundleOptions,
    from: Arena | { points: number[]; state: State; seen: Int32Array; work: Workspace },
  ) {
    this.start = start;
    this.tracks = tracks;
    this.rays = rays;
    this.options = options;
    this.shared = options.freeFocal ? 2 : 1;
    this.size = 6 * start.length + this.shared;
    if ("state" in from) {
      this.points = from.points;
      this.state = from.state;
      this.seen = from.seen;
      this.work = from.work;
      return;
    }
    const places = new Float64Array(3 * tracks.count);
    this.seen = new Int32Array(start.length);
    for (let p = 0; p < tracks.count; p++) {
      const place = this.firstPlace(p);
      if (!place) continue;
      places.set(place, 3 * p);
      this.points.push(p);
      for (let k = tracks.start[p]; k < tracks.start[p + 1]; k++) this.seen[tracks.photo[k]]++;
    }
    const rotations = new Float64Array(9 * start.length);
    const centres = new Float64Array(3 * start.length);
    start.forEach(({ rotation, centre }, c) => {
      rotations.set(Array.from(rotation, Number), 9 * c);
      centres.set(centre, 3 * c);
    });
    this.state = { rotations, centres, places, k1: 0, logFocal: 0 };
    this.work = workspaceFor(this.size, this.shared, this.points, tracks, from);
  }

  /** The point nearest to a track's rays, where it lies in front of all its cameras. */
  private firstPlace(p: number): number[] | undefined {
    const { tracks, rays, start } = this;
    const origins: Vec3[] = [];
    const directions: number[][] = [];
    for (let k = tracks.start[p]; k < tracks.start[p + 1]; k++) {
      const { rotation, centre } = start[tracks.photo[k]];
      origins.push(centre);
      directions.push(unit(applyTransposed(rotation, [rays[2 * k], rays[2 * k + 1], 1])));
    }
    const place = nearestPointToRays(origins, directions);
    const front =
      place &&
      origins.every((o, k) => directions[k].reduce((sum, d, c) => sum + d * (place[c] - o[c]), 0) > 0);
    return front ? place : undefined;
  }

  cost(limit: number): number {
    const square = limit ** 2;
    let sum = 0;
    this.forEachResidual((squared) => {
      sum += squared / (squared + square);
    });
    const { k1, logFocal } = this.state;
    const unlikely = (k1 / K1_SIGMA) ** 2 + (logFocal / (this.options.logFocalSigma ?? LOG_FOCAL_SIGMA)) ** 2;
    return sum + NOISE_SHARE ** 2 * unlikely;
  }

  private forEachResidual(use: (squared: number, photo: number, depth: number, point: number) => void): void {
    const { tracks, rays } = this;
    const { rotations: r, centres: c, places: q, k1, logFocal } = this.state;
    const focal = Math.exp(logFocal);
    for (const p of this.points) {
      for (let k = tracks.start[p]; k < tracks.start[p + 1]; k++) {
        const photo = tracks.photo[k];
        const d0 = q[3 * p] - c[3 * photo];
        const d1 = q[3 * p + 1] - c[3 * photo + 1];
        const d2 = q[3 * p + 2] - c[3 * photo + 2];
        const m = 9 * photo;
        const z = r[m + 6] * d0 + r[m + 7] * d1 + r[m + 8] * d2;
        const x = (r[m] * d0 + r[m + 1] * d1 + r[m + 2] * d2) / z;
        const y = (r[m + 3] * d0 + r[m + 4] * d1 + r[m + 5] * d2) / z;
        const stretch = focal * (1 + k1 * (x * x + y * y));
        const u = stretch * x - rays[2 * k];
        const v = stretch * y - rays[2 * k + 1];
        use(z > 0 ? u * u + v * v : Number.MAX_VALUE, photo, z, p);
      }
    }
  }

  /** Reduced normal equations, into the workspace: the cameras' and the lens's once the points are eliminated. */
  private reduce(limit: number, damping: number): void {
    const { tracks, size, shared } = this;
    const { h, b, rows, w, inverse, bp } = this.work;
    const square = limit * limit;
    h.fill(0);
    b.fill(0);
    w.fill(0);
    bp.fill(0);
    this.addPriors(limit, h, b);
    const jacobian = new Float64Array(2 * ROW);
    const residual = new Float64Array(2);
    const v = new Float64Array(6);
    for (let n = 0; n < this.points.length; n++) {
      const p = this.points[n];
      const first = this.work.start[n];
      const lens = this.work.start[n + 1] - shared;
      v.fill(0);
      for (let a = 0; a < shared; a++) rows[lens + a] = size - shared + a;
      for (let k = tracks.start[p]; k < tracks.start[p + 1]; k++) {
        const inFront = this.slopes(p, k, jacobian, residual);
        const root = square / (residual[0] * residual[0] + residual[1] * residual[1] + square);
        const weight = inFront ? root * root : 0;
        const at = first + 6 * (k - tracks.start[p]);
        addObservation(this.work, jacobian, residual, weight, 6 * tracks.photo[k], size, shared);
        addMixed(this.work, jacobian, weight, at, lens, 6 * tracks.photo[k], shared);
        addPoint(bp, 3 * n, v, jacobian, residual, weight);
      }
      invertSymmetric(v, damping, inverse, 6 * n);
    }
    eliminate(this.work, size, shared);
  }

  /** What is known of the lens beforehand, as if it had been observed once. */
  private addPriors(limit: number, h: Float64Array, b: Float64Array): void {
    const { size, shared } = this;
    const noise = (NOISE_SHARE * limit) ** 2;
    const known = [
      { value: this.state.k1, sigma: K1_SIGMA },
      { value: this.state.logFocal, sigma: this.options.logFocalSigma ?? LOG_FOCAL_SIGMA },
    ];
    known.slice(0, shared).forEach(({ value, sigma }, a) => {
      const row = size - shared + a;
      h[row * size + row] += noise / sigma ** 2;
      b[row] -= (noise / sigma ** 2) * value;
    });
  }

  /** Residual of observation k of point p and its slopes (ROW); false where the point lies behind the camera. */
  private slopes(p: number, k: number, jacobian: Float64Array, residual: Float64Array): boolean {
    const { rotations: r, centres: c, places: q, k1, logFocal } = this.state;
    const focal = Math.exp(logFocal);
    const photo = this.tracks.photo[k];
    const m = 9 * photo;
    const d0 = q[3 * p] - c[3 * photo];
    const d1 = q[3 * p + 1] - c[3 * photo + 1];
    const d2 = q[3 * p + 2] - c[3 * photo + 2];
    const z = r[m + 6] * d0 + r[m + 7] * d1 + r[m + 8] * d2;
    const x = (r[m] * d0 + r[m + 1] * d1 + r[m + 2] * d2) / z;
    const y = (r[m + 3] * d0 + r[m + 4] * d1 + r[m + 5] * d2) / z;
    const squared = x * x + y * y;
    const bend = 1 + k1 * squared;
    residual[0] = focal * bend * x - this.rays[2 * k];
    residual[1] = focal * bend * y - this.rays[2 * k + 1];
    const mixed = 2 * k1 * x * y;
    for (let axis = 0; axis < 2; axis++) {
      const o = axis * ROW;
      // Slopes by the point in the camera's frame, by way of x and y.
      const byX = (focal * (axis === 0 ? bend + 2 * k1 * x * x : mixed)) / z;
      const byY = (focal * (axis === 0 ? mixed : bend + 2 * k1 * y * y)) / z;
      const byZ = -(byX * x + byY * y);
      // A turn w moves (X, Y, Z) by w x (X, Y, Z); a step d of the camera moves it by -R d.
      jacobian[o] = z * (byZ * y - byY);
      jacobian[o + 1] = z * (byX - byZ * x);
      jacobian[o + 2] = z * (byY * x - byX * y);
      for (let a = 0; a < 3; a++) {
        const slope = byX * r[m + a] + byY * r[m + 3 + a] + byZ * r[m + 6 + a];
        jacobian[o + 3 + a] = -slope;
        jacobian[o + POINT + a] = slope;
      }
      const own = axis === 0 ? x : y;
      jacobian[o + K1] = focal * squared * own;
      jacobian[o + FOCAL] = focal * bend * own;
    }
    return z > 0;
  }

  /** Steps of cameras and points that lower the cost; undefined where the equations cannot be solved. */
  change(limit: number, damping: number): { cameras: Float64Array; points: Float64Array } | undefined {
    this.reduce(limit, damping);
    const { size } = this;
    const { h, b, start, rows, w, plane, inverse, bp } = this.work;
    // Cameras that too few points hold stay where they are; the free choice of world is left to the damping.
    const anchor = this.anchor(h);
    for (let i = 0; i < size; i++) {
      const held = i < 6 * this.seen.length && this.seen[Math.floor(i / 6)] < FEWEST_SEEN;
      h[i * size + i] = h[i * size + i] * (1 + damping) + (held ? 1e6 * anchor : 1e-9 * anchor);
    }
    if (!factorise(this.work.at.h, size)) return undefined;
    substitute(h, size, b);
    const moves = new Float64Array(3 * this.points.length);
    const rest = new Float64Array(3);
    for (let n = 0; n < this.points.length; n++) {
      for (let e = 0; e < 3; e++) rest[e] = bp[3 * n + e];
      for (let a = start[n]; a < start[n + 1]; a++)
        for (let e = 0; e < 3; e++) rest[e] -= w[e * plane + a] * b[rows[a]];
      timesSymmetric(inverse, 6 * n, rest, moves, 3 * n);
    }
    return { cameras: b, points: moves };
  }

  private anchor(h: Float64Array): number {
    let largest = 1;
    for (let i = 0; i < this.size; i++) largest = Math.max(largest, h[i * this.size + i]);
    return largest;
  }

  moved({ cameras, points }: { cameras: Float64Array; points: Float64Array }): Problem {
    const rotations = this.state.rotations.slice();
    const centres = this.state.centres.slice();
    const places = this.state.places.slice();
    for (let c = 0; c < this.start.length; c++) {
      const turn = rotationFromAxisAngle([cameras[6 * c], cameras[6 * c + 1], cameras[6 * c + 2]]);
      rotations.set(multiply(turn, rotations.slice(9 * c, 9 * c + 9)), 9 * c);
      for (let e = 0; e < 3; e++) centres[3 * c + e] += cameras[6 * c + 3 + e];
    }
    this.points.forEach((p, n) => {
      for (let e = 0; e < 3; e++) places[3 * p + e] += points[3 * n + e];
    });
    const k1 = this.state.k1 + cameras[this.size - this.shared];
    const logFocal = this.state.logFocal + (this.options.freeFocal ? cameras[this.size - 1] : 0);
    const state = { rotations, centres, places, k1, logFocal };
    return new Problem(this.start, this.tracks, this.rays, this.options, {
      points: this.points,
      state,
      seen: this.seen,
      work: this.work,
    });
  }

  result(): Bundle {
    const { rotations, centres, k1, logFocal } = this.state;
    const distances: number[] = [];
    const depths: number[][] = this.start.map(() => []);
    this.forEachResidual((squared, photo, depth) => {
      distances.push(Math.sqrt(squared));
      depths[photo].push(depth);
    });
    const residual = upperMedian(distances);
    const sigma = this.options.freeFocal ? this.focalSigma(residual) : undefined;
    return {
      cameras: this.start.map((_, c) => ({
        rotation: Array.from(rotations.subarray(9 * c, 9 * c + 9)),
        centre: Array.from(centres.subarray(3 * c, 3 * c + 3)),
      })),
      focalFactor: Math.exp(logFocal),
      ...(sigma === undefined ? {} : { focalSigma: sigma }),
      depths: depths.map((own) => (own.length > 0 ? upperMedian(own) : undefined)),
      k1,
      points: this.fittingPoints(),
      residual,
    };
  }

  /** Points whose every observation lies within the limit: a chain with a wrong match has no place. */
  private fittingPoints(): Float64Array {
    const { places } = this.state;
    const square = this.options.limit ** 2;
    const fits = new Uint8Array(this.tracks.count).fill(1);
    this.forEachResidual((squared, _photo, _depth, point) => {
      if (squared > square) fits[point] = 0;
    });
    return Float64Array.from(
      this.points.filter((p) => fits[p] === 1).flatMap((p) => [...places.subarray(3 * p, 3 * p + 3)]),
    );
  }

  /** The focal factor comes last, so the last pivot is what is known of it once all else is free. */
  private focalSigma(residual: number): number | undefined {
    this.reduce(this.options.limit, 1e-9);
    const { size } = this;
    const { h } = this.work;
    const anchor = this.anchor(h);
    for (let i = 0; i < size; i++) h[i * size + i] += 1e-9 * anchor;
    if (!factorise(this.work.at.h, size)) return undefined;
    // The median length of a plane normal error of deviation s is 1.1774 s.
    return residual / 1.1774 / h[size * size - 1];
  }
}
