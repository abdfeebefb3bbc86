import { type Correspondences, essentialOf, type Motion, movedMotion } from "./essential.js";
import { sampsonSquared } from "./sampson.js";
import { cross, unit, type Vec3 } from "./vector.js";

export interface RefineOptions {
  /** Distance at which a match counts half as much in its slope, in the coordinates' unit (pixels over focal length). */
  readonly scale: number;
  readonly steps: number;
}

/**
 * Truncated squared cost of a motion: mean over the matches of min(1, Sampson distance squared / limit squared),
 * 0 (all fit) to 1 (none does).
 *
 * @see Torr and Zisserman 2000, "MLESAC", CVIU 78 (there called MSAC; cited from memory).
 */
export function msacCost(points: Correspondences, motion: Motion, limit: number): number {
  return msacCostOfEssential(points, essentialOf(motion), limit);
}

/** {@link msacCost} of an essential matrix of any scale. */
export function msacCostOfEssential(
  points: Correspondences,
  e: ArrayLike<number>,
  limit: number,
  giveUpAt = Number.POSITIVE_INFINITY,
): number {
  const count = points.length >> 2;
  const squared = 1 / (limit * limit);
  const most = giveUpAt * count;
  const e0 = e[0];
  const e1 = e[1];
  const e2 = e[2];
  const e3 = e[3];
  const e4 = e[4];
  const e5 = e[5];
  const e6 = e[6];
  const e7 = e[7];
  const e8 = e[8];
  let sum = 0;
  for (let i = 0; i < count; i++) {
    const xa = points[4 * i];
    const ya = points[4 * i + 1];
    const xb = points[4 * i + 2];
    const yb = points[4 * i + 3];
    const l0 = e0 * xa + e1 * ya + e2;
    const l1 = e3 * xa + e4 * ya + e5;
    const m0 = e0 * xb + e3 * yb + e6;
    const m1 = e1 * xb + e4 * yb + e7;
    const r = xb * l0 + yb * l1 + e6 * xa + e7 * ya + e8;
    const gradient = l0 * l0 + l1 * l1 + m0 * m0 + m1 * m1;
    const cost = gradient > 0 ? (r * r * squared) / gradient : 0;
    sum += cost < 1 ? cost : 1;
    if (sum > most) return Number.POSITIVE_INFINITY;
  }
  return count > 0 ? sum / count : 1;
}

/** Indexes of the matches within the limit of a motion, Sampson distance. */
export function inliersOf(points: Correspondences, motion: Motion, limit: number): Int32Array {
  const e = essentialOf(motion);
  const found: number[] = [];
  for (let i = 0; i < points.length; i += 4) {
    if (sampsonSquared(e, points[i], points[i + 1], points[i + 2], points[i + 3]) <= limit * limit) {
      found.push(i >> 2);
    }
  }
  return Int32Array.from(found);
}

/** Two unit vectors that span the plane across t: the directions in which a unit vector can move. */
export function tangentsOf(t: Vec3): [number[], number[]] {
  const x = Math.abs(t[0]);
  const y = Math.abs(t[1]);
  const z = Math.abs(t[2]);
  const far = x <= y && x <= z ? [1, 0, 0] : y <= z ? [0, 1, 0] : [0, 0, 1];
  const first = unit(cross(t, far));
  return [first, cross(t, first)];
}

/**
 * Refines a motion over its five parameters (three of rotation, two of translation) on the Geman-McClure cost of
 * the Sampson distance, by damped Gauss-Newton. Never returns a motion that costs more than the one it was given.
 *
 * @returns the motion and its robust cost, the mean of r^2 / (r^2 + scale^2), 0 to 1.
 * @see Hartley and Zisserman, appendix 6 (damping) and section 11.4.3 (Sampson; cited from memory). The slope of the
 * Sampson denominator is left out: it is proportional to the residual and vanishes at a good fit.
 */
export function refineMotion(
  points: Correspondences,
  start: Motion,
  options: RefineOptions,
): { motion: Motion; cost: number } {
  let motion = start;
  const system = new NormalEquations();
  let cost = system.build(points, motion, options.scale);
  let damping = 1e-4;
  for (let step = 0; step < options.steps; step++) {
    const change = system.solve(damping);
    if (!change) break;
    const [d1, d2] = system.tangents;
    const d = [
      change[3] * d1[0] + change[4] * d2[0],
      change[3] * d1[1] + change[4] * d2[1],
      change[3] * d1[2] + change[4] * d2[2],
    ];
    const moved = movedMotion(motion, [change[0], change[1], change[2]], d);
    const next = new NormalEquations();
    const nextCost = next.build(points, moved, options.scale);
    if (nextCost < cost) {
      const gain = cost - nextCost;
      motion = moved;
      cost = nextCost;
      system.take(next);
      damping = Math.max(damping / 10, 1e-9);
      if (gain < 1e-7 * cost) break;
    } else {
      damping *= 30;
      if (damping > 1e3) break;
    }
  }
  return { motion, cost };
}

/** Five-parameter normal equations of the weighted Sampson residuals. */
class NormalEquations {
  private readonly a = new Float64Array(25);
  private readonly b = new Float64Array(5);
  tangents: [number[], number[]] = [
    [1, 0, 0],
    [0, 1, 0],
  ];

  take(other: NormalEquations): void {
    this.a.set(other.a);
    this.b.set(other.b);
    this.tangents = other.tangents;
  }

  build(points: Correspondences, motion: Motion, scale: number): number {
    const { a, b } = this;
    a.fill(0);
    b.fill(0);
    this.tangents = tangentsOf(motion.translation);
    const [g0, g1, g2] = this.tangents[0] as [number, number, number];
    const [h0, h1, h2] = this.tangents[1] as [number, number, number];
    const r = motion.rotation;
    const r0 = r[0];
    const r1 = r[1];
    const r2 = r[2];
    const r3 = r[3];
    const r4 = r[4];
    const r5 = r[5];
    const r6 = r[6];
    const r7 = r[7];
    const r8 = r[8];
    const [t0, t1, t2] = motion.translation as [number, number, number];
    const e = essentialOf(motion);
    const e0 = e[0];
    const e1 = e[1];
    const e3 = e[3];
    const e4 = e[4];
    const e6 = e[6];
    const e7 = e[7];
    const e2 = e[2];
    const e5 = e[5];
    const square = scale * scale;
    let cost = 0;
    for (let i = 0; i < points.length; i += 4) {
      const xa = points[i];
      const ya = points[i + 1];
      const xb = points[i + 2];
      const yb = points[i + 3];
      const l0 = e0 * xa + e1 * ya + e2;
      const l1 = e3 * xa + e4 * ya + e5;
      const m0 = e0 * xb + e3 * yb + e6;
      const m1 = e1 * xb + e4 * yb + e7;
      const gradient = l0 * l0 + l1 * l1 + m0 * m0 + m1 * m1;
      if (gradient <= 0) continue;
      const p0 = r0 * xa + r1 * ya + r2;
      const p1 = r3 * xa + r4 * ya + r5;
      const p2 = r6 * xa + r7 * ya + r8;
      const inverse = 1 / Math.sqrt(gradient);
      // p x xb: the slope of the residual along the translation.
      const q0 = p1 - p2 * yb;
      const q1 = p2 * xb - p0;
      const q2 = p0 * yb - p1 * xb;
      const residual = (t0 * q0 + t1 * q1 + t2 * q2) * inverse;
      const squared = residual * residual;
      cost += squared / (squared + square);
      const root = square / (squared + square);
      const w = root * root;
      // xb x t, then p x (xb x t): the slope along the rotation.
      const s0 = yb * t2 - t1;
      const s1 = t0 - xb * t2;
      const s2 = xb * t1 - yb * t0;
      const j0 = (p1 * s2 - p2 * s1) * inverse;
      const j1 = (p2 * s0 - p0 * s2) * inverse;
      const j2 = (p0 * s1 - p1 * s0) * inverse;
      const j3 = (g0 * q0 + g1 * q1 + g2 * q2) * inverse;
      const j4 = (h0 * q0 + h1 * q1 + h2 * q2) * inverse;
      const w0 = w * j0;
      const w1 = w * j1;
      const w2 = w * j2;
      const w3 = w * j3;
      const w4 = w * j4;
      a[0] += w0 * j0;
      a[1] += w0 * j1;
      a[2] += w0 * j2;
      a[3] += w0 * j3;
      a[4] += w0 * j4;
      a[6] += w1 * j1;
      a[7] += w1 * j2;
      a[8] += w1 * j3;
      a[9] += w1 * j4;
      a[12] += w2 * j2;
      a[13] += w2 * j3;
      a[14] += w2 * j4;
      a[18] += w3 * j3;
      a[19] += w3 * j4;
      a[24] += w4 * j4;
      b[0] -= w0 * residual;
      b[1] -= w1 * residual;
      b[2] -= w2 * residual;
      b[3] -= w3 * residual;
      b[4] -= w4 * residual;
    }
    return points.length > 0 ? cost / (points.length / 4) : 1;
  }

  /** Solves (A + damping * diag A) x = b by Cholesky; undefined where A is not positive definite. */
  solve(damping: number): Float64Array | undefined {
    const l = new Float64Array(25);
    const x = new Float64Array(5);
    for (let i = 0; i < 5; i++) {
      for (let j = 0; j <= i; j++) {
        let sum = this.a[5 * j + i] * (i === j ? 1 + damping : 1);
        for (let k = 0; k < j; k++) sum -= l[5 * i + k] * l[5 * j + k];
        if (i === j) {
          if (!(sum > 0)) return undefined;
          l[5 * i + i] = Math.sqrt(sum);
        } else l[5 * i + j] = sum / l[5 * j + j];
      }
    }
    for (let i = 0; i < 5; i++) {
      let sum = this.b[i];
      for (let k = 0; k < i; k++) sum -= l[5 * i + k] * x[k];
      x[i] = sum / l[5 * i + i];
    }
    for (let i = 4; i >= 0; i--) {
      let sum = x[i];
      for (let k = i + 1; k < 5; k++) sum -= l[5 * k + i] * x[k];
      x[i] = sum / l[5 * i + i];
    }
    return x;
  }
}
