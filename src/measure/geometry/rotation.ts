import { symmetricEigen } from "./symmetric-eigen.js";
import { type Mat3, multiply, transpose, type Vec3 } from "./vector.js";

/** Below this angle (radians) the series of sine and cosine are used: their error is under 1e-16. */
const SMALL_ANGLE = 1e-6;

/** The rotation that changes nothing. */
export const IDENTITY: Mat3 = Object.freeze([1, 0, 0, 0, 1, 0, 0, 0, 1]);

/**
 * Rotation matrix of an axis-angle vector (Rodrigues).
 *
 * @param w axis times angle in radians, any length; zero gives the identity.
 */
export function rotationFromAxisAngle(w: Vec3): number[] {
  const x = w[0];
  const y = w[1];
  const z = w[2];
  const squared = x * x + y * y + z * z;
  const angle = Math.sqrt(squared);
  const a = angle < SMALL_ANGLE ? 1 - squared / 6 : Math.sin(angle) / angle;
  const b = angle < SMALL_ANGLE ? 0.5 - squared / 24 : (1 - Math.cos(angle)) / squared;
  return [
    1 - b * (y * y + z * z),
    b * x * y - a * z,
    b * x * z + a * y,
    b * x * y + a * z,
    1 - b * (x * x + z * z),
    b * y * z - a * x,
    b * x * z - a * y,
    b * y * z + a * x,
    1 - b * (x * x + y * y),
  ];
}

/** Axis-angle vector of a rotation matrix, radians, length in [0, pi]. Inverse of {@link rotationFromAxisAngle}. */
export function axisAngleOf(r: Mat3): number[] {
  const q = quaternionOf(r);
  const sine = Math.sqrt(q[1] ** 2 + q[2] ** 2 + q[3] ** 2);
  // 2 atan2(s, c) / s tends to 2 / c for small angles.
  const factor = sine < SMALL_ANGLE ? 2 / q[0] : (2 * Math.atan2(sine, q[0])) / sine;
  return [factor * q[1], factor * q[2], factor * q[3]];
}

/** Unit quaternion (w, x, y, z) of a rotation matrix, w >= 0. */
export function quaternionOf(r: Mat3): number[] {
  const trace = r[0] + r[4] + r[8];
  let q: number[];
  if (trace > 0) {
    const s = 2 * Math.sqrt(trace + 1);
    q = [s / 4, (r[7] - r[5]) / s, (r[2] - r[6]) / s, (r[3] - r[1]) / s];
  } else if (r[0] > r[4] && r[0] > r[8]) {
    const s = 2 * Math.sqrt(1 + r[0] - r[4] - r[8]);
    q = [(r[7] - r[5]) / s, s / 4, (r[1] + r[3]) / s, (r[2] + r[6]) / s];
  } else if (r[4] > r[8]) {
    const s = 2 * Math.sqrt(1 + r[4] - r[0] - r[8]);
    q = [(r[2] - r[6]) / s, (r[1] + r[3]) / s, s / 4, (r[5] + r[7]) / s];
  } else {
    const s = 2 * Math.sqrt(1 + r[8] - r[0] - r[4]);
    q = [(r[3] - r[1]) / s, (r[2] + r[6]) / s, (r[5] + r[7]) / s, s / 4];
  }
  const norm = (q[0] < 0 ? -1 : 1) / Math.hypot(q[0], q[1], q[2], q[3]);
  return q.map((c) => c * norm);
}

/** Rotation matrix of a unit quaternion (w, x, y, z). */
export function rotationFromQuaternion(q: readonly number[]): number[] {
  const [w, x, y, z] = q as [number, number, number, number];
  return [
    1 - 2 * (y * y + z * z),
    2 * (x * y - w * z),
    2 * (x * z + w * y),
    2 * (x * y + w * z),
    1 - 2 * (x * x + z * z),
    2 * (y * z - w * x),
    2 * (x * z - w * y),
    2 * (y * z + w * x),
    1 - 2 * (x * x + y * y),
  ];
}

/** Angle of the rotation that takes a to b, degrees in [0, 180]. */
export function rotationAngleDeg(a: Mat3, b: Mat3 = IDENTITY): number {
  const w = axisAngleOf(multiply(a, transpose(b)));
  return (Math.hypot(w[0], w[1], w[2]) * 180) / Math.PI;
}

/**
 * The rotation nearest to a 3x3 matrix: the one that maximises the trace of its transpose times m. It also solves
 * "which rotation takes bearings a to bearings b" for m = sum of weight * b aT.
 *
 * @see Horn 1987, "Closed-form solution of absolute orientation using unit quaternions", JOSA A 4.
 */
export function nearestRotation(m: Mat3): number[] {
  const [a, b, c, d, e, f, g, h, i] = Array.from(m, Number) as [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  const n = [
    a + e + i,
    h - f,
    c - g,
    d - b,
    h - f,
    a - e - i,
    b + d,
    c + g,
    c - g,
    b + d,
    e - a - i,
    f + h,
    d - b,
    c + g,
    f + h,
    i - a - e,
  ];
  return rotationFromQuaternion(symmetricEigen(n, 4).vectors[3]);
}
