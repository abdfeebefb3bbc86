/** Three numbers. */
export type Vec3 = readonly number[];
/** Nine numbers, row-major. */
export type Mat3 = ArrayLike<number>;

/** Scalar product. */
export function dot(a: Vec3, b: Vec3): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/** Vector product a x b. */
export function cross(a: Vec3, b: Vec3): number[] {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

/** Euclidean length. */
export function length(a: Vec3): number {
  return Math.sqrt(dot(a, a));
}

/** a brought to length 1; the zero vector stays zero. */
export function unit(a: Vec3): number[] {
  const l = length(a);
  return l > 0 ? [a[0] / l, a[1] / l, a[2] / l] : [0, 0, 0];
}

/** a + factor * b. */
export function addScaled(a: Vec3, b: Vec3, factor: number): number[] {
  return [a[0] + factor * b[0], a[1] + factor * b[1], a[2] + factor * b[2]];
}

/** Matrix times column vector. */
export function apply(m: Mat3, v: Vec3): number[] {
  return [
    m[0] * v[0] + m[1] * v[1] + m[2] * v[2],
    m[3] * v[0] + m[4] * v[1] + m[5] * v[2],
    m[6] * v[0] + m[7] * v[1] + m[8] * v[2],
  ];
}

/** Transposed matrix times column vector. */
export function applyTransposed(m: Mat3, v: Vec3): number[] {
  return [
    m[0] * v[0] + m[3] * v[1] + m[6] * v[2],
    m[1] * v[0] + m[4] * v[1] + m[7] * v[2],
    m[2] * v[0] + m[5] * v[1] + m[8] * v[2],
  ];
}

/** Matrix product a b. */
export function multiply(a: Mat3, b: Mat3): number[] {
  const out = new Array<number>(9).fill(0);
  for (let r = 0; r < 9; r += 3) {
    for (let c = 0; c < 3; c++) out[r + c] = a[r] * b[c] + a[r + 1] * b[3 + c] + a[r + 2] * b[6 + c];
  }
  return out;
}

/** Transposed matrix. */
export function transpose(m: Mat3): number[] {
  return [m[0], m[3], m[6], m[1], m[4], m[7], m[2], m[5], m[8]];
}

/** Determinant. */
export function determinant(m: Mat3): number {
  return (
    m[0] * (m[4] * m[8] - m[5] * m[7]) -
    m[1] * (m[3] * m[8] - m[5] * m[6]) +
    m[2] * (m[3] * m[7] - m[4] * m[6])
  );
}

/** Angle between two vectors, degrees in [0, 180]; exact for small angles, unlike the arc cosine. */
export function angleDegBetween(a: Vec3, b: Vec3): number {
  return (Math.atan2(length(cross(a, b)), dot(a, b)) * 180) / Math.PI;
}
