/** Eigenvalues in ascending order; eigenvector k is column k: vectors[row * size + k]. */
export interface SymmetricEigen {
  readonly values: number[];
  readonly vectors: number[];
}

const MAX_SWEEPS = 30;

/**
 * Eigenvalues and orthonormal eigenvectors of a small symmetric matrix by cyclic Jacobi rotations. Meant for
 * sizes 3, 4 and 9, where it is as exact as a general solver and allocates almost nothing.
 *
 * @param matrix row-major, size * size numbers, symmetric; not changed.
 * @see Golub and Van Loan, Matrix Computations, section 8.5 (cited from memory).
 */
export function symmetricEigen(matrix: ArrayLike<number>, size: number): SymmetricEigen {
  const a = Array.from(matrix, Number);
  const v = new Array<number>(size * size).fill(0);
  for (let i = 0; i < size; i++) v[i * size + i] = 1;
  let scale = 0;
  for (const entry of a) scale += entry * entry;
  const tiny = scale * 1e-30;
  for (let sweep = 0; sweep < MAX_SWEEPS; sweep++) {
    let off = 0;
    for (let p = 0; p < size; p++) for (let q = p + 1; q < size; q++) off += a[p * size + q] ** 2;
    if (off <= tiny) break;
    for (let p = 0; p < size; p++) {
      for (let q = p + 1; q < size; q++) rotate(a, v, size, p, q);
    }
  }
  return sorted(a, v, size);
}

/** One Jacobi rotation that zeroes a[p][q]. */
function rotate(a: number[], v: number[], size: number, p: number, q: number): void {
  const apq = a[p * size + q];
  if (apq === 0) return;
  const theta = (a[q * size + q] - a[p * size + p]) / (2 * apq);
  const t = (theta >= 0 ? 1 : -1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
  const c = 1 / Math.sqrt(t * t + 1);
  const s = t * c;
  for (let k = 0; k < size; k++) {
    const akp = a[k * size + p];
    const akq = a[k * size + q];
    a[k * size + p] = c * akp - s * akq;
    a[k * size + q] = s * akp + c * akq;
  }
  for (let k = 0; k < size; k++) {
    const apk = a[p * size + k];
    const aqk = a[q * size + k];
    a[p * size + k] = c * apk - s * aqk;
    a[q * size + k] = s * apk + c * aqk;
  }
  for (let k = 0; k < size; k++) {
    const vkp = v[k * size + p];
    const vkq = v[k * size + q];
    v[k * size + p] = c * vkp - s * vkq;
    v[k * size + q] = s * vkp + c * vkq;
  }
}

function sorted(a: number[], v: number[], size: number): SymmetricEigen {
  const order = Array.from({ length: size }, (_, i) => i);
  order.sort((i, j) => a[i * size + i] - a[j * size + j]);
  const vectors = new Array<number>(size * size).fill(0);
  for (let k = 0; k < size; k++) {
    for (let row = 0; row < size; row++) vectors[row * size + k] = v[row * size + order[k]];
  }
  return { values: order.map((i) => a[i * size + i]), vectors };
}
