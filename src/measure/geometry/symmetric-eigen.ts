import { kernels } from "../../kernels/kernels.js";
import { withRoom } from "../../kernels/room.js";

/** Eigenvalues in ascending order, and the eigenvector of each, of length 1 and at right angles to the others. */
export interface SymmetricEigen {
  readonly values: number[];
  readonly vectors: number[][];
}

/**
 * Eigenvalues and orthonormal eigenvectors of a small symmetric matrix. A general library has it too, but every thread
 * would load that and compile it anew: longer than all that is then computed.
 *
 * @param matrix row-major, size * size numbers, symmetric; not changed.
 */
export function symmetricEigen(matrix: ArrayLike<number>, size: number): SymmetricEigen {
  return withRoom((room) => {
    const at = room.doubles(matrix);
    const rows = room.take(8 * size * size);
    kernels().symmetricEigen(at, rows, size);
    const diagonal = room.f64(at, size * size);
    return {
      values: Array.from({ length: size }, (_, k) => diagonal[k * (size + 1)]),
      vectors: Array.from({ length: size }, (_, k) => Array.from(room.f64(rows + 8 * k * size, size))),
    };
  });
}
