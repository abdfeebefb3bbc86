import type { Mat3 } from "./vector.js";

/**
 * Squared Sampson distance of one match: first-order squared distance to the nearest pair of points that fits an
 * essential or fundamental matrix, in the squared unit of the coordinates. 0 for a perfect match.
 *
 * @see Hartley and Zisserman, Multiple View Geometry, section 11.4.3 (cited from memory).
 */
export function sampsonSquared(e: Mat3, xa: number, ya: number, xb: number, yb: number): number {
  const l0 = e[0] * xa + e[1] * ya + e[2];
  const l1 = e[3] * xa + e[4] * ya + e[5];
  const l2 = e[6] * xa + e[7] * ya + e[8];
  const m0 = e[0] * xb + e[3] * yb + e[6];
  const m1 = e[1] * xb + e[4] * yb + e[7];
  const r = xb * l0 + yb * l1 + l2;
  const gradient = l0 * l0 + l1 * l1 + m0 * m0 + m1 * m1;
  return gradient > 0 ? (r * r) / gradient : 0;
}
