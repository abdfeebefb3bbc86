/**
 * Cholesky factor of a symmetric positive definite matrix, in place in its lower triangle. Zeros before the first number
 * of a row stay zeros and cost nothing, so unknowns that belong together should stand near each other.
 *
 * @param a size * size numbers, row-major; only the lower triangle is read.
 * @returns false where the matrix is not positive definite.
 */
export function factorise(a: Float64Array, size: number): boolean {
  const first = firstNumbers(a, size);
  for (let i = 0; i < size; i++) {
    const rowI = i * size;
    for (let j = first[i]; j <= i; j++) {
      const rowJ = j * size;
      let sum = a[rowI + j];
      for (let k = Math.max(first[i], first[j]); k < j; k++) sum -= a[rowI + k] * a[rowJ + k];
      if (i === j) {
        if (!(sum > 0)) return false;
        a[rowI + i] = Math.sqrt(sum);
      } else a[rowI + j] = sum / a[rowJ + j];
    }
  }
  return true;
}

/** Column of the first number of each row that is not 0, at most the diagonal's. */
function firstNumbers(a: Float64Array, size: number): Int32Array {
  return Int32Array.from({ length: size }, (_, i) => {
    let j = 0;
    while (j < i && a[i * size + j] === 0) j++;
    return j;
  });
}

/** Solves L LT x = b for the factor of {@link factorise}; b is overwritten by x. */
export function substitute(l: Float64Array, size: number, b: Float64Array): void {
  for (let i = 0; i < size; i++) {
    let sum = b[i];
    for (let k = 0; k < i; k++) sum -= l[i * size + k] * b[k];
    b[i] = sum / l[i * size + i];
  }
  for (let i = size - 1; i >= 0; i--) {
    b[i] /= l[i * size + i];
    const x = b[i];
    for (let k = 0; k < i; k++) b[k] -= l[i * size + k] * x;
  }
}
