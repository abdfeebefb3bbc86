/** Sweeps end by themselves, mostly after six; this is a bound, for matrices that hold no numbers. */
const MOST_SWEEPS: i32 = 40;
/** Squares off the diagonal that are this share of those on it lie below the rounding of those. */
const ROUNDING: f64 = 1e-32;

/**
 * Eigenvalues and orthonormal eigenvectors of a small symmetric matrix, by Jacobi rotations.
 *
 * @param a size * size f64; its diagonal becomes the eigenvalues, ascending
 * @param vectors size * size f64: row k becomes the eigenvector of the k-th eigenvalue
 * @see Golub and Van Loan 1996, Matrix Computations, section 8.4 (cited from memory).
 */
export function symmetricEigen(a: usize, vectors: usize, size: i32): void {
  memory.fill(vectors, 0, 8 * size * size);
  for (let k = 0; k < size; k++) store<f64>(vectors + 8 * k * (size + 1), 1);
  for (let sweep = 0; sweep < MOST_SWEEPS && !isDiagonal(a, size); sweep++) {
    for (let p = 0; p < size; p++) {
      for (let q = p + 1; q < size; q++) clear(a, vectors, size, p, q);
    }
  }
  sort(a, vectors, size);
}

function isDiagonal(a: usize, size: i32): bool {
  let on: f64 = 0;
  let off: f64 = 0;
  for (let p = 0; p < size; p++) {
    for (let q = p; q < size; q++) {
      const value = load<f64>(a + 8 * (p * size + q));
      if (p === q) on += value * value;
      else off += value * value;
    }
  }
  return off <= ROUNDING * on;
}

/** Turns axes p and q so that their common entry becomes 0. */
function clear(a: usize, vectors: usize, size: i32, p: i32, q: i32): void {
  const row: usize = 8 * size;
  const common = load<f64>(a + p * row + 8 * q);
  if (common === 0) return;
  const cotangent = (load<f64>(a + q * row + 8 * q) - load<f64>(a + p * row + 8 * p)) / (2 * common);
  // The smaller of the two angles, of at most 45 degrees.
  const tangent = (cotangent < 0 ? -1.0 : 1.0) / (abs(cotangent) + sqrt(cotangent * cotangent + 1));
  const cosine = 1 / sqrt(tangent * tangent + 1);
  const sine = tangent * cosine;
  turn(a + p * row, a + q * row, 8, size, cosine, sine);
  turn(a + 8 * p, a + 8 * q, row, size, cosine, sine);
  turn(vectors + p * row, vectors + q * row, 8, size, cosine, sine);
}

/** Turns two lines of numbers, `step` bytes apart, into one another. */
function turn(p: usize, q: usize, step: usize, size: i32, cosine: f64, sine: f64): void {
  for (let k = 0; k < size; k++) {
    const x = load<f64>(p);
    const y = load<f64>(q);
    store<f64>(p, cosine * x - sine * y);
    store<f64>(q, sine * x + cosine * y);
    p += step;
    q += step;
  }
}

/** Brings the eigenvalues into order, and their vectors with them. */
function sort(a: usize, vectors: usize, size: i32): void {
  const next: usize = 8 * (size + 1);
  for (let k = 0; k < size; k++) {
    let least = k;
    for (let i = k + 1; i < size; i++) {
      if (load<f64>(a + i * next) < load<f64>(a + least * next)) least = i;
    }
    swap(a + k * next, a + least * next);
    for (let c = 0; c < size; c++) swap(vectors + 8 * (k * size + c), vectors + 8 * (least * size + c));
  }
}

function swap(p: usize, q: usize): void {
  const value = load<f64>(p);
  store<f64>(p, load<f64>(q));
  store<f64>(q, value);
}
