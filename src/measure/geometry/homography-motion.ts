import type { Motion } from "./essential.js";
import { nearestRotation } from "./rotation.js";
import { symmetricEigen } from "./symmetric-eigen.js";
import {
  apply,
  cross,
  determinant,
  dot,
  length,
  type Mat3,
  multiply,
  transpose,
  unit,
  type Vec3,
} from "./vector.js";

/** A motion and the plane it would have been seen from: points with normal . X = distance, in a's frame. */
export interface PlaneMotion extends Motion {
  readonly normal: Vec3;
  /** Length of the true translation in units of a's distance to the plane; 0 for a pure rotation. */
  readonly baselineOverDistance: number;
}

/** Below this spread of the singular values the homography is a rotation to within rounding. */
const ROTATION_SPREAD = 1e-9;

/**
 * The two motions that a homography between rays can stand for, normal towards the camera's front; one motion where
 * it is a pure rotation. Which of the two is true the plane alone does not show.
 *
 * @param h takes rays (x, y, 1) of a to rays of b, any scale, any sign.
 * @returns an empty list for a singular matrix.
 * @see Ma, Soatto, Kosecka and Sastry 2004, An Invitation to 3-D Vision, section 5.3.3 (cited from memory).
 */
export function motionsOfHomography(h: Mat3): PlaneMotion[] {
  const det = determinant(h);
  if (!Number.isFinite(det) || det === 0) return [];
  const { values, vectors } = symmetricEigen(multiply(transpose(h), h), 3);
  const middle = Math.sqrt(Math.max(0, values[1]));
  if (middle === 0) return [];
  // Points in front of both cameras need a positive determinant.
  const scale = (det > 0 ? 1 : -1) / middle;
  const m = Array.from(h, (entry) => entry * scale);
  const s3 = values[0] * scale * scale;
  const s1 = values[2] * scale * scale;
  if (s1 - s3 < ROTATION_SPREAD) {
    return [
      { rotation: nearestRotation(m), translation: [0, 0, 1], normal: [0, 0, 1], baselineOverDistance: 0 },
    ];
  }
  const [v3, v2] = vectors;
  let v1 = vectors[2];
  if (dot(cross(v1, v2), v3) < 0) v1 = v1.map((c) => -c);
  const p = Math.sqrt(Math.max(0, 1 - s3) / (s1 - s3));
  const q = Math.sqrt(Math.max(0, s1 - 1) / (s1 - s3));
  const found: PlaneMotion[] = [];
  for (const side of [1, -1]) {
    const u = v1.map((c, i) => p * c + side * q * v3[i]);
    const hv2 = apply(m, v2);
    const hu = apply(m, u);
    const left = fromColumns(hv2, hu, cross(hv2, hu));
    const right = fromColumns(v2, u, cross(v2, u));
    const rotation = nearestRotation(multiply(left, transpose(right)));
    let normal = cross(v2, u);
    let t = apply(
      m.map((entry, i) => entry - rotation[i]),
      normal,
    );
    if (normal[2] < 0) {
      normal = normal.map((c) => -c);
      t = t.map((c) => -c);
    }
    found.push({ rotation, translation: unit(t), normal, baselineOverDistance: length(t) });
  }
  return found;
}

function fromColumns(a: Vec3, b: Vec3, c: Vec3): number[] {
  return [a[0], b[0], c[0], a[1], b[1], c[1], a[2], b[2], c[2]];
}
