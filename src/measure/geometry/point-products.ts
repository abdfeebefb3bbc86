import { type Arena, withArena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";

/**
 * Hartley's normalisation, which makes the linear estimates of homographies and fundamental matrices well behaved:
 * normalised = scale * (point - centre) has centroid 0 and mean distance sqrt 2.
 *
 * @see Hartley 1997, In Defense of the Eight-Point Algorithm, section 4
 */
export interface Normalisation {
  readonly centreX: number;
  readonly centreY: number;
  /** 1 where all points coincide. */
  readonly scale: number;
}

/** What linear estimates need of matched points (x, y) and (u, v). */
export interface PointProducts {
  /** How the points are normalised in the sums. */
  readonly from: Normalisation;
  readonly to: Normalisation;
  /**
   * Weighted sums of each product of two entries of (u, v, 1) times each of two of (x, y, 1): sums[6 * q + p], where both
   * stand in the order of {@link PRODUCT}.
   */
  readonly sums: Float64Array;
}

/** Where the product of entries r and c of (x, y, 1) stands among its six: PRODUCT[3 r + c]. */
export const PRODUCT: readonly number[] = [0, 1, 2, 1, 3, 4, 2, 4, 5];

/**
 * @param from x, y interleaved
 * @param to where they land, same length
 * @param weights one a point; 1 where left out
 */
export function sumProducts(
  from: ArrayLike<number>,
  to: ArrayLike<number>,
  weights?: ArrayLike<number>,
): PointProducts {
  const count = from.length >> 1;
  return withArena((arena) => {
    const [a, b] = [arena.doubles(from), arena.doubles(to)];
    const [ofA, ofB] = [normalise(a, count, arena), normalise(b, count, arena)];
    const sums = arena.filled(8 * 36);
    const weightOf = arena.doubles(weights ?? new Float64Array(count).fill(1));
    kernels().addProducts(a, ofA.at, b, ofB.at, weightOf, count, sums);
    return { from: ofA.normalisation, to: ofB.normalisation, sums: arena.f64(sums, 36).slice() };
  });
}

function normalise(
  points: Address,
  count: number,
  arena: Arena,
): { at: Address; normalisation: Normalisation } {
  const at = arena.take(8 * 3);
  kernels().normalise(points, count, at);
  const [centreX, centreY, scale] = arena.f64(at, 3);
  return { at, normalisation: { centreX, centreY, scale } };
}
