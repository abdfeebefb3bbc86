import type { Vec3 } from "./vector.js";

/** Least determinant of rays that meet, over the cube of their weight: under it they are parallel but for rounding. */
export const PARALLEL = 1e-9;

/**
 * Weighted least squares for three unknowns, gathered observation by observation. Each is given in single numbers, so that loops over
 * tens of thousands of points need no list for each.
 */
export class NormalEquations {
  /** Upper triangle of the matrix: xx, xy, xz, yy, yz, zz. */
  readonly products = [0, 0, 0, 0, 0, 0];
  readonly values = [0, 0, 0];
  /** Weight of all observations together. */
  private total = 0;

  /** Observes that (x, y, z) . unknowns = value. */
  addRow(x: number, y: number, z: number, value: number, weight: number): void {
    const { products: a, values: b } = this;
    a[0] += weight * x * x;
    a[1] += weight * x * y;
    a[2] += weight * x * z;
    a[3] += weight * y * y;
    a[4] += weight * y * z;
    a[5] += weight * z * z;
    b[0] += weight * value * x;
    b[1] += weight * value * y;
    b[2] += weight * value * z;
    this.total += weight;
  }

  /** Observes that the unknowns are a point on the ray from `origin` along the unit vector (x, y, z). */
  addRay(origin: Vec3, x: number, y: number, z: number, weight: number): void {
    const { products: a, values: b } = this;
    a[0] += weight * (1 - x * x);
    a[1] -= weight * x * y;
    a[2] -= weight * x * z;
    a[3] += weight * (1 - y * y);
    a[4] -= weight * y * z;
    a[5] += weight * (1 - z * z);
    const along = x * origin[0] + y * origin[1] + z * origin[2];
    b[0] += weight * (origin[0] - along * x);
    b[1] += weight * (origin[1] - along * y);
    b[2] += weight * (origin[2] - along * z);
    this.total += weight;
  }

  /**
   * @param least determinant that still tells something, over the cube of the weight
   * @returns undefined where the observations leave the unknowns open
   */
  solve(least = 0): number[] | undefined {
    const [xx, xy, xz, yy, yz, zz] = this.products;
    const [x, y, z] = this.values;
    const c00 = yy * zz - yz * yz;
    const c01 = xz * yz - xy * zz;
    const c02 = xy * yz - xz * yy;
    const determinant = xx * c00 + xy * c01 + xz * c02;
    if (!(Math.abs(determinant) > least * this.total ** 3)) return undefined;
    const c11 = xx * zz - xz * xz;
    const c12 = xy * xz - xx * yz;
    const c22 = xx * yy - xy * xy;
    return [
      (c00 * x + c01 * y + c02 * z) / determinant,
      (c01 * x + c11 * y + c12 * z) / determinant,
      (c02 * x + c12 * y + c22 * z) / determinant,
    ];
  }
}

/**
 * Point nearest to several rays, by linear least squares of the distances to them.
 *
 * @param directions unit vectors, one an origin.
 * @returns undefined where the rays are parallel or fewer than two.
 */
export function nearestPointToRays(
  origins: readonly Vec3[],
  directions: readonly Vec3[],
): number[] | undefined {
  const sums = new NormalEquations();
  for (const [k, [x, y, z]] of directions.entries()) sums.addRay(origins[k], x, y, z, 1);
  return sums.solve(PARALLEL);
}
