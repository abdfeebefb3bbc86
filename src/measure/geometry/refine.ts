import { withArena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
import { type Correspondences, essentialOf, type Motion, movedMotion } from "./essential.js";
import { cross, type Mat3, unit, type Vec3 } from "./vector.js";

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

/** {@link msacCost} of an essential matrix of any scale; Infinity as soon as it is more than `giveUpAt`. */
export function msacCostOfEssential(
  points: Correspondences,
  e: Mat3,
  limit: number,
  giveUpAt = Number.POSITIVE_INFINITY,
): number {
  return withArena((arena) => {
    const [at, count] = [arena.doubles(points), points.length >> 2];
    return kernels().truncatedCost(at, count, arena.doubles(e), limit * limit, giveUpAt);
  });
}

/** Squared Sampson distance of every match from a motion. */
export function sampsonDistances(points: Correspondences, motion: Motion): Float64Array {
  const count = points.length >> 2;
  return withArena((arena) => {
    const out = arena.take(8 * count);
    kernels().sampsonDistances(arena.doubles(points), count, arena.doubles(essentialOf(motion)), out);
    return arena.f64(out, count).slice();
  });
}

/** Indexes of the matches within the limit of a motion, Sampson distance. */
export function inliersOf(points: Correspondences, motion: Motion, limit: number): number[] {
  const found: number[] = [];
  sampsonDistances(points, motion).forEach((squared, i) => {
    if (squared <= limit * limit) found.push(i);
  });
  return found;
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
  return withArena((arena) => {
    const placed = { at: arena.doubles(points), count: points.length >> 2 };
    let motion = start;
    let equations = equationsOf(placed, motion, options.scale);
    let damping = 1e-4;
    for (let step = 0; step < options.steps; step++) {
      const change = solve(equations.rows, damping);
      if (!change) break;
      const [c, [d1, d2]] = [change, equations.tangents];
      const moved = movedMotion(
        motion,
        [c[0], c[1], c[2]],
        [c[3] * d1[0] + c[4] * d2[0], c[3] * d1[1] + c[4] * d2[1], c[3] * d1[2] + c[4] * d2[2]],
      );
      const next = equationsOf(placed, moved, options.scale);
      const gain = equations.cost - next.cost;
      if (gain > 0) {
        motion = moved;
        equations = next;
        damping = Math.max(damping / 10, 1e-9);
        if (gain < 1e-7 * next.cost) break;
      } else {
        damping *= 30;
        if (damping > 1e3) break;
      }
    }
    return { motion, cost: equations.cost };
  });
}

/** Unknowns of a motion: three of the turn, two of the step. */
const UNKNOWNS = 5;
/** Numbers in a row of their equations: the matrix's, then the right side. */
const ROW = UNKNOWNS + 1;

interface Equations {
  /** Five rows. */
  readonly rows: Float64Array;
  /** Directions that the last two unknowns move the translation in. */
  readonly tangents: readonly [Vec3, Vec3];
  /** Mean robust cost, 0 to 1. */
  readonly cost: number;
}

/** Normal equations of the weighted Sampson residuals. */
function equationsOf(
  { at, count }: { readonly at: Address; readonly count: number },
  { rotation, translation }: Motion,
  scale: number,
): Equations {
  const tangents = tangentsOf(translation);
  return withArena((arena) => {
    const motion = arena.doubles(rotation, translation, ...tangents);
    const rows = arena.filled(8 * UNKNOWNS * ROW);
    const cost = kernels().addMotionEquations(at, count, motion, scale * scale, arena.take(8 * ROW), rows);
    return {
      rows: arena.f64(rows, UNKNOWNS * ROW).slice(),
      tangents,
      cost: count > 0 ? cost / count : 1,
    };
  });
}

/** Solves (A + damping * diag A) x = b by Cholesky; undefined where A is not positive definite. */
function solve(rows: Float64Array, damping: number): Float64Array | undefined {
  const l = new Float64Array(25);
  const x = new Float64Array(5);
  for (let i = 0; i < 5; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = rows[ROW * i + j] * (i === j ? 1 + damping : 1);
      for (let k = 0; k < j; k++) sum -= l[5 * i + k] * l[5 * j + k];
      if (i === j) {
        if (!(sum > 0)) return undefined;
        l[5 * i + i] = Math.sqrt(sum);
      } else l[5 * i + j] = sum / l[5 * j + j];
    }
  }
  for (let i = 0; i < 5; i++) {
    let sum = rows[ROW * i + UNKNOWNS];
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
