import { withArena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";

/**
 * Cholesky factor of a symmetric positive definite matrix, in place in its lower triangle. Zeros before the first number
 * of a row stay zeros and cost nothing, so unknowns that belong together should stand near each other.
 *
 * @param matrix where size * size f64 lie in the kernels' memory, row-major; only the lower triangle is read.
 * @returns false where the matrix is not positive definite.
 */
export function factorise(matrix: Address, size: number): boolean {
  return withArena((arena) => {
    const first = arena.take(4 * size);
    writeFirstNumbers(arena.f64(matrix, size * size), arena.i32(first, size));
    return kernels().factorise(matrix, first, size) === 1;
  });
}

/** Column of the first number of each row that is not 0, at most the diagonal's. */
function writeFirstNumbers(a: Float64Array, first: Int32Array): void {
  const size = first.length;
  for (let i = 0; i < size; i++) {
    let j = 0;
    while (j < i && a[i * size + j] === 0) j++;
    first[i] = j;
  }
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
