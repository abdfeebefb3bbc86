/**
 * Random sampling of homographies and fundamental matrices, double precision: see measure/pair/search.ts. Matrices are
 * nine numbers, row by row. Matches stand in four rows, xa, ya, xb and yb, each of `rowBytes(count)`.
 */

/** What a search knows between two calls; measure/pair/search.ts reads and writes it by these offsets. */
@unmanaged
class Search {
  /** Cost over all matches, and over those that models are sifted on, that a model has to beat. */
  cost: f64;
  siftCost: f64;
  /** Of the random numbers. */
  state: i32;
  round: i32;
  needed: i32;
  /** Models of the last sample, and those of them that were tried. */
  models: i32;
  tried: i32;
}
/** Behind it: the model found, the plane that parallax is measured against, and the models of a sample. */
const MODEL: usize = 40;
const PLANE: usize = MODEL + 72;
const MODELS: usize = PLANE + 72;

const HOMOGRAPHY: i32 = 4;
const PARALLAX: i32 = 2;

const sample = memory.data(8 * 4);
const from = memory.data(9 * 8);
const to = memory.data(9 * 8);
const inverse = memory.data(9 * 8);
const system = memory.data(63 * 8);
const order = memory.data(9 * 4);
const one = memory.data(9 * 8);
const apart = memory.data(9 * 8);
const roots = memory.data(3 * 8);

/** A row holds an even number of matches, so that two are worked on at a time. */
function rowBytes(count: i32): usize {
  return 8 * ((count + 1) & ~1);
}

/**
 * Draws samples until a model beats the best so far, or all that are needed were drawn.
 *
 * @param size matches a sample: 4 for a homography, 7 for a fundamental matrix, 2 for one beside a known plane
 * @param sift some of the matches, on which a model is tried first; siftCount 0 where none is to be
 * @param pool i32 indexes of the matches that samples are drawn from
 * @param limit squared residual at which a match no longer fits
 * @param residuals f64, one a match: squared residuals of the model found
 * @returns 1 where one was found, 0 where all were drawn; may be called on after 1
 */
export function sampleModels(
  size: i32,
  matches: usize,
  count: i32,
  sift: usize,
  siftCount: i32,
  pool: usize,
  poolSize: i32,
  limit: f64,
  residuals: usize,
  at: usize,
): i32 {
  const search = changetype<Search>(at);
  while (true) {
    while (search.tried < search.models) {
      const model = at + MODELS + 72 * search.tried++;
      if (siftCount > 0) {
        const siftCost = costOf(size, sift, siftCount, model, limit, search.siftCost, residuals);
        if (siftCost >= search.siftCost) continue;
      }
      const cost = costOf(size, matches, count, model, limit, search.cost, residuals);
      if (cost >= search.cost) continue;
      search.cost = cost;
      memory.copy(at + MODEL, model, 72);
      return 1;
    }
    if (search.round >= search.needed) return 0;
    search.round++;
    search.tried = 0;
    draw(search, pool, poolSize, size);
    search.models = modelsOf(size, matches, count, at + PLANE, at + MODELS);
  }
}

function costOf(
  size: i32,
  matches: usize,
  count: i32,
  model: usize,
  limit: f64,
  giveUpAt: f64,
  residuals: usize,
): f64 {
  return size === HOMOGRAPHY
    ? transferErrors(matches, count, model, limit, giveUpAt, residuals)
    : sampsonErrors(matches, count, model, limit, giveUpAt, residuals);
}

function modelsOf(size: i32, matches: usize, count: i32, plane: usize, out: usize): i32 {
  if (size === HOMOGRAPHY)
    return keepsOrientation(matches, count) ? homographyOfFour(matches, count, out) : 0;
  if (size === PARALLAX) return fundamentalBesidePlane(matches, count, plane, out);
  return fundamentalsOfSeven(matches, count, out);
}

/** Different matches of the pool, by the numbers of measure/geometry/random.ts. */
function draw(search: Search, pool: usize, poolSize: i32, size: i32): void {
  for (let k = 0; k < size; k++) {
    let pick = below(search, poolSize);
    for (let j = 0; j < k; j++) {
      if (load<i32>(sample + 4 * j) !== pick) continue;
      pick = below(search, poolSize);
      j = -1;
    }
    store<i32>(sample + 4 * k, pick);
  }
  for (let k = 0; k < size; k++) {
    store<i32>(sample + 4 * k, load<i32>(pool + 4 * load<i32>(sample + 4 * k)));
  }
}

function below(search: Search, most: i32): i32 {
  search.state += <i32>0x9e3779b9;
  let z: u32 = search.state;
  z = (z ^ (z >> 16)) * 0x21f0aaad;
  z = (z ^ (z >> 15)) * 0x735a2d97;
  z ^= z >> 15;
  return <i32>floor((<f64>z / 4294967296) * most);
}

/**
 * Squared residuals of a homography: the mean of the squared distances forth and back; Infinity behind the horizon.
 *
 * @returns their sum, each at most `limit`; Infinity as soon as it is `giveUpAt`, or where the matrix is singular
 * @see Hartley and Zisserman 2004, equation 4.7: this is half the symmetric transfer error
 */
export function transferErrors(
  matches: usize,
  count: i32,
  h: usize,
  limit: f64,
  giveUpAt: f64,
  residuals: usize,
): f64 {
  if (!invert(h, inverse)) return Infinity;
  const row = rowBytes(count);
  const h0 = v128.load_splat<f64>(h);
  const h1 = v128.load_splat<f64>(h, 8);
  const h2 = v128.load_splat<f64>(h, 16);
  const h3 = v128.load_splat<f64>(h, 24);
  const h4 = v128.load_splat<f64>(h, 32);
  const h5 = v128.load_splat<f64>(h, 40);
  const h6 = v128.load_splat<f64>(h, 48);
  const h7 = v128.load_splat<f64>(h, 56);
  const h8 = v128.load_splat<f64>(h, 64);
  const i0 = v128.load_splat<f64>(inverse);
  const i1 = v128.load_splat<f64>(inverse, 8);
  const i2 = v128.load_splat<f64>(inverse, 16);
  const i3 = v128.load_splat<f64>(inverse, 24);
  const i4 = v128.load_splat<f64>(inverse, 32);
  const i5 = v128.load_splat<f64>(inverse, 40);
  const i6 = v128.load_splat<f64>(inverse, 48);
  const i7 = v128.load_splat<f64>(inverse, 56);
  const i8 = v128.load_splat<f64>(inverse, 64);
  const none = f64x2.splat(0);
  const infinite = f64x2.splat(Infinity);
  const half = f64x2.splat(0.5);
  const most = f64x2.splat(limit);
  let cost: f64 = 0;
  for (let i = 0; i < count && cost < giveUpAt; i += 2) {
    const at = matches + 8 * i;
    const x = v128.load(at);
    const y = v128.load(at + row);
    const u = v128.load(at + 2 * row);
    const v = v128.load(at + 3 * row);
    const w = affine(h6, h7, h8, x, y);
    const z = affine(i6, i7, i8, u, v);
    const du = f64x2.sub(f64x2.div(affine(h0, h1, h2, x, y), w), u);
    const dv = f64x2.sub(f64x2.div(affine(h3, h4, h5, x, y), w), v);
    const dx = f64x2.sub(f64x2.div(affine(i0, i1, i2, u, v), z), x);
    const dy = f64x2.sub(f64x2.div(affine(i3, i4, i5, u, v), z), y);
    const forth = f64x2.add(f64x2.mul(du, du), f64x2.mul(dv, dv));
    const sum = f64x2.add(f64x2.add(forth, f64x2.mul(dx, dx)), f64x2.mul(dy, dy));
    const residual = v128.bitselect(f64x2.mul(half, sum), infinite, f64x2.gt(f64x2.mul(w, z), none));
    v128.store(residuals + 8 * i, residual);
    cost = addTwo(cost, f64x2.pmin(most, residual), i + 1 < count);
  }
  return cost < giveUpAt ? cost : Infinity;
}

/**
 * Squared Sampson distances to a fundamental matrix; otherwise as {@link transferErrors}.
 *
 * @see measure/geometry/sampson.ts
 */
export function sampsonErrors(
  matches: usize,
  count: i32,
  f: usize,
  limit: f64,
  giveUpAt: f64,
  residuals: usize,
): f64 {
  const row = rowBytes(count);
  const f0 = v128.load_splat<f64>(f);
  const f1 = v128.load_splat<f64>(f, 8);
  const f2 = v128.load_splat<f64>(f, 16);
  const f3 = v128.load_splat<f64>(f, 24);
  const f4 = v128.load_splat<f64>(f, 32);
  const f5 = v128.load_splat<f64>(f, 40);
  const f6 = v128.load_splat<f64>(f, 48);
  const f7 = v128.load_splat<f64>(f, 56);
  const f8 = v128.load_splat<f64>(f, 64);
  const none = f64x2.splat(0);
  const most = f64x2.splat(limit);
  let cost: f64 = 0;
  for (let i = 0; i < count && cost < giveUpAt; i += 2) {
    const at = matches + 8 * i;
    const x = v128.load(at);
    const y = v128.load(at + row);
    const u = v128.load(at + 2 * row);
    const v = v128.load(at + 3 * row);
    const l0 = affine(f0, f1, f2, x, y);
    const l1 = affine(f3, f4, f5, x, y);
    const l2 = affine(f6, f7, f8, x, y);
    const m0 = affine(f0, f3, f6, u, v);
    const m1 = affine(f1, f4, f7, u, v);
    const r = affine(l0, l1, l2, u, v);
    const lines = f64x2.add(f64x2.mul(l0, l0), f64x2.mul(l1, l1));
    const gradient = f64x2.add(f64x2.add(lines, f64x2.mul(m0, m0)), f64x2.mul(m1, m1));
    const squared = f64x2.div(f64x2.mul(r, r), gradient);
    const residual = v128.and(squared, f64x2.gt(gradient, none));
    v128.store(residuals + 8 * i, residual);
    cost = addTwo(cost, f64x2.pmin(most, residual), i + 1 < count);
  }
  return cost < giveUpAt ? cost : Infinity;
}

/** a x + b y + c. */
function affine(a: v128, b: v128, c: v128, x: v128, y: v128): v128 {
  return f64x2.add(f64x2.add(f64x2.mul(a, x), f64x2.mul(b, y)), c);
}

function addTwo(sum: f64, values: v128, both: bool): f64 {
  sum += f64x2.extract_lane(values, 0);
  return both ? sum + f64x2.extract_lane(values, 1) : sum;
}

/** Entry `k` (0 xa, 1 ya, 2 xb, 3 yb) of the n-th match of the sample. */
function drawn(matches: usize, count: i32, n: i32, k: i32): f64 {
  return load<f64>(matches + <usize>k * rowBytes(count) + 8 * load<i32>(sample + 4 * n));
}

/** A view of a plane from its front keeps the turning sense of every three points. */
function keepsOrientation(matches: usize, count: i32): bool {
  for (let skip = 0; skip < 4; skip++) {
    const p = skip === 0 ? 1 : 0;
    const q = skip <= 1 ? 2 : 1;
    const r = skip === 3 ? 2 : 3;
    if (turningSense(matches, count, p, q, r, 0) * turningSense(matches, count, p, q, r, 2) <= 0)
      return false;
  }
  return true;
}

function turningSense(matches: usize, count: i32, p: i32, q: i32, r: i32, side: i32): f64 {
  const ux = drawn(matches, count, q, side) - drawn(matches, count, p, side);
  const uy = drawn(matches, count, q, side + 1) - drawn(matches, count, p, side + 1);
  const vx = drawn(matches, count, r, side) - drawn(matches, count, p, side);
  const vy = drawn(matches, count, r, side + 1) - drawn(matches, count, p, side + 1);
  return ux * vy - uy * vx;
}

/** The homography through the four matches of the sample: see homographyFromFour in measure/geometry/homography.ts. */
function homographyOfFour(matches: usize, count: i32, out: usize): i32 {
  if (!basisOf(matches, count, 0, from) || !basisOf(matches, count, 2, to) || !invert(from, inverse))
    return 0;
  for (let r = 0; r < 9; r += 3) {
    for (let c = 0; c < 3; c++) {
      let sum = load<f64>(to + 8 * r) * load<f64>(inverse + 8 * c);
      sum += load<f64>(to + 8 * r, 8) * load<f64>(inverse + 8 * c, 24);
      sum += load<f64>(to + 8 * r, 16) * load<f64>(inverse + 8 * c, 48);
      store<f64>(out + 8 * (r + c), sum);
    }
  }
  return toUnitNorm(out) ? 1 : 0;
}

/** Sends (1,0,0), (0,1,0), (0,0,1) and (1,1,1) to the four points. */
function basisOf(matches: usize, count: i32, side: i32, out: usize): bool {
  const first = areaOf(matches, count, 3, 1, 2, side);
  const second = areaOf(matches, count, 0, 3, 2, side);
  const third = areaOf(matches, count, 0, 1, 3, side);
  if (first === 0 || second === 0 || third === 0) return false;
  for (let row = 0; row < 2; row++) {
    store<f64>(out + 24 * row, first * drawn(matches, count, 0, side + row));
    store<f64>(out + 24 * row, second * drawn(matches, count, 1, side + row), 8);
    store<f64>(out + 24 * row, third * drawn(matches, count, 2, side + row), 16);
  }
  store<f64>(out, first, 48);
  store<f64>(out, second, 56);
  store<f64>(out, third, 64);
  return true;
}

/** Twice the signed area of the triangle of three points of the sample. */
function areaOf(matches: usize, count: i32, i: i32, j: i32, k: i32, side: i32): f64 {
  const x = drawn(matches, count, i, side);
  const y = drawn(matches, count, i, side + 1);
  return (
    (drawn(matches, count, j, side) - x) * (drawn(matches, count, k, side + 1) - y) -
    (drawn(matches, count, j, side + 1) - y) * (drawn(matches, count, k, side) - x)
  );
}

/** Inverse by the adjugate; false where the matrix is singular. */
function invert(h: usize, out: usize): bool {
  const h0 = load<f64>(h);
  const h1 = load<f64>(h, 8);
  const h2 = load<f64>(h, 16);
  const h3 = load<f64>(h, 24);
  const h4 = load<f64>(h, 32);
  const h5 = load<f64>(h, 40);
  const h6 = load<f64>(h, 48);
  const h7 = load<f64>(h, 56);
  const h8 = load<f64>(h, 64);
  const first = h4 * h8 - h5 * h7;
  const second = h5 * h6 - h3 * h8;
  const third = h3 * h7 - h4 * h6;
  const det = h0 * first + h1 * second + h2 * third;
  let norm: f64 = 0;
  for (let k = 0; k < 9; k++) norm += load<f64>(h + 8 * k) * load<f64>(h + 8 * k);
  if (!(abs(det) > 1e-12 * (norm * sqrt(norm)))) return false;
  store<f64>(out, first / det);
  store<f64>(out, (h2 * h7 - h1 * h8) / det, 8);
  store<f64>(out, (h1 * h5 - h2 * h4) / det, 16);
  store<f64>(out, second / det, 24);
  store<f64>(out, (h0 * h8 - h2 * h6) / det, 32);
  store<f64>(out, (h2 * h3 - h0 * h5) / det, 40);
  store<f64>(out, third / det, 48);
  store<f64>(out, (h1 * h6 - h0 * h7) / det, 56);
  store<f64>(out, (h0 * h4 - h1 * h3) / det, 64);
  return true;
}

/** Scales nine numbers to unit norm; false where they are all zero or not finite. */
function toUnitNorm(m: usize): bool {
  let sum: f64 = 0;
  for (let k = 0; k < 9; k++) sum += load<f64>(m + 8 * k) * load<f64>(m + 8 * k);
  if (!(sum > 0 && sum < Infinity)) return false;
  const scale = 1 / sqrt(sum);
  for (let k = 0; k < 9; k++) store<f64>(m + 8 * k, load<f64>(m + 8 * k) * scale);
  return true;
}

/**
 * The one to three fundamental matrices through the seven matches of the sample, of determinant 0 and unit norm; none where
 * they do not fix them. The elimination does not normalise: points should be of order 1.
 *
 * @see Hartley and Zisserman 2004, section 11.1.2
 */
function fundamentalsOfSeven(matches: usize, count: i32, out: usize): i32 {
  for (let k = 0; k < 7; k++) {
    const x = drawn(matches, count, k, 0);
    const y = drawn(matches, count, k, 1);
    const u = drawn(matches, count, k, 2);
    const v = drawn(matches, count, k, 3);
    const row = system + 72 * k;
    store<f64>(row, u * x);
    store<f64>(row, u * y, 8);
    store<f64>(row, u, 16);
    store<f64>(row, v * x, 24);
    store<f64>(row, v * y, 32);
    store<f64>(row, v, 40);
    store<f64>(row, x, 48);
    store<f64>(row, y, 56);
    store<f64>(row, 1, 64);
  }
  if (!nullPlane(one, apart)) return 0;
  // det(second + t (first - second)) is a cubic in t, fixed by its values at four points.
  for (let k = 0; k < 9; k++) {
    store<f64>(one + 8 * k, load<f64>(one + 8 * k) - load<f64>(apart + 8 * k));
  }
  const c0 = determinantAlong(apart, one, 0);
  const p1 = determinantAlong(apart, one, 1);
  const m1 = determinantAlong(apart, one, -1);
  const c3 = (determinantAlong(apart, one, 2) - 2 * p1 + 2 * m1 - determinantAlong(apart, one, -2)) / 12;
  const c2 = (p1 + m1) / 2 - c0;
  const c1 = (p1 - m1) / 2 - c3;
  const found = cubicRoots(c3, c2, c1, c0);
  let models = 0;
  for (let n = 0; n < found; n++) {
    const t = load<f64>(roots + 8 * n);
    const f = out + 72 * models;
    for (let k = 0; k < 9; k++) {
      store<f64>(f + 8 * k, load<f64>(apart + 8 * k) + t * load<f64>(one + 8 * k));
    }
    if (toUnitNorm(f)) models++;
  }
  return models;
}

/** Gauss-Jordan with full pivoting on the 7 x 9 system; two vectors that span its null space. */
function nullPlane(first: usize, second: usize): bool {
  for (let c = 0; c < 9; c++) store<i32>(order + 4 * c, c);
  for (let r = 0; r < 7; r++) {
    let pivot: f64 = 0;
    let pivotRow = r;
    let pivotColumn = r;
    for (let i = r; i < 7; i++) {
      for (let c = r; c < 9; c++) {
        const value = abs(load<f64>(system + 8 * (9 * i + c)));
        if (value <= pivot) continue;
        pivot = value;
        pivotRow = i;
        pivotColumn = c;
      }
    }
    if (pivot < 1e-9) return false;
    if (pivotRow !== r)
      for (let c = 0; c < 9; c++) swap(system + 72 * r + 8 * c, system + 72 * pivotRow + 8 * c);
    if (pivotColumn !== r) {
      for (let i = 0; i < 7; i++) swap(system + 72 * i + 8 * r, system + 72 * i + 8 * pivotColumn);
      const column = load<i32>(order + 4 * r);
      store<i32>(order + 4 * r, load<i32>(order + 4 * pivotColumn));
      store<i32>(order + 4 * pivotColumn, column);
    }
    const row = system + 72 * r;
    const scale = 1 / load<f64>(row + 8 * r);
    for (let c = r; c < 9; c++) store<f64>(row + 8 * c, load<f64>(row + 8 * c) * scale);
    for (let i = 0; i < 7; i++) {
      const other = system + 72 * i;
      const factor = load<f64>(other + 8 * r);
      if (i === r || factor === 0) continue;
      for (let c = r; c < 9; c++) {
        store<f64>(other + 8 * c, load<f64>(other + 8 * c) - factor * load<f64>(row + 8 * c));
      }
    }
  }
  for (let r = 0; r < 7; r++) {
    const column = 8 * load<i32>(order + 4 * r);
    store<f64>(first + column, -load<f64>(system + 72 * r, 56));
    store<f64>(second + column, -load<f64>(system + 72 * r, 64));
  }
  store<f64>(first + 8 * load<i32>(order, 28), 1);
  store<f64>(first + 8 * load<i32>(order, 32), 0);
  store<f64>(second + 8 * load<i32>(order, 28), 0);
  store<f64>(second + 8 * load<i32>(order, 32), 1);
  return true;
}

function swap(p: usize, q: usize): void {
  const value = load<f64>(p);
  store<f64>(p, load<f64>(q));
  store<f64>(q, value);
}

function determinantAlong(f: usize, d: usize, t: f64): f64 {
  const a = load<f64>(f) + t * load<f64>(d);
  const b = load<f64>(f, 8) + t * load<f64>(d, 8);
  const c = load<f64>(f, 16) + t * load<f64>(d, 16);
  const e = load<f64>(f, 24) + t * load<f64>(d, 24);
  const g = load<f64>(f, 32) + t * load<f64>(d, 32);
  const h = load<f64>(f, 40) + t * load<f64>(d, 40);
  const i = load<f64>(f, 48) + t * load<f64>(d, 48);
  const j = load<f64>(f, 56) + t * load<f64>(d, 56);
  const k = load<f64>(f, 64) + t * load<f64>(d, 64);
  return a * (g * k - h * j) - b * (e * k - h * i) + c * (e * j - g * i);
}

/** Real roots of a t^3 + b t^2 + c t + d (Viete's trigonometric form for three, Cardano's for one). @returns how many */
function cubicRoots(a: f64, b: f64, c: f64, d: f64): i32 {
  const largest = max(max(abs(a), abs(b)), max(abs(c), abs(d)));
  if (abs(a) < 1e-12 * largest) return quadraticRoots(b, c, d);
  const p = b / a;
  const q = c / a;
  const r = d / a;
  const third = p / 3;
  const m = (p * p - 3 * q) / 9;
  const n = (2 * p * p * p - 9 * p * q + 27 * r) / 54;
  const cube = m * m * m;
  if (n * n < cube) {
    const angle = Math.acos(max<f64>(-1, min<f64>(1, n / sqrt(cube))));
    const size = -2 * sqrt(m);
    store<f64>(roots, size * Math.cos(angle / 3) - third);
    store<f64>(roots, size * Math.cos((angle + 2 * Math.PI) / 3) - third, 8);
    store<f64>(roots, size * Math.cos((angle - 2 * Math.PI) / 3) - third, 16);
    return 3;
  }
  const sign: f64 = n < 0 ? 1 : -1;
  const s = sign * Math.cbrt(abs(n) + sqrt(max<f64>(0, n * n - cube)));
  store<f64>(roots, s + (s === 0 ? 0 : m / s) - third);
  return 1;
}

function quadraticRoots(a: f64, b: f64, c: f64): i32 {
  if (abs(a) < 1e-12 * max(abs(b), abs(c))) {
    if (b === 0) return 0;
    store<f64>(roots, -c / b);
    return 1;
  }
  const inside = b * b - 4 * a * c;
  if (inside < 0) return 0;
  const root = sqrt(inside);
  store<f64>(roots, (-b + root) / (2 * a));
  store<f64>(roots, (-b - root) / (2 * a), 8);
  return 2;
}

/**
 * The fundamental matrix of a scene whose plane moves by `h`, from the two matches of the sample: the lines from where the
 * plane would send each point to where it is meet in the epipole. None where both lie on the plane, or on one line with it.
 *
 * @see Hartley and Zisserman 2004, section 13.3 (plane and parallax)
 */
function fundamentalBesidePlane(matches: usize, count: i32, h: usize, out: usize): i32 {
  parallaxLine(matches, count, h, 0, from);
  parallaxLine(matches, count, h, 1, to);
  const ex = load<f64>(from, 8) * load<f64>(to, 16) - load<f64>(from, 16) * load<f64>(to, 8);
  const ey = load<f64>(from, 16) * load<f64>(to) - load<f64>(from) * load<f64>(to, 16);
  const ez = load<f64>(from) * load<f64>(to, 8) - load<f64>(from, 8) * load<f64>(to);
  for (let c: usize = 0; c < 24; c += 8) {
    const h0 = load<f64>(h + c);
    const h1 = load<f64>(h + c, 24);
    const h2 = load<f64>(h + c, 48);
    store<f64>(out + c, ey * h2 - ez * h1);
    store<f64>(out + c, ez * h0 - ex * h2, 24);
    store<f64>(out + c, ex * h1 - ey * h0, 48);
  }
  return toUnitNorm(out) ? 1 : 0;
}

/** The line through the n-th point of the sample in b and where the plane would send that of a. */
function parallaxLine(matches: usize, count: i32, h: usize, n: i32, out: usize): void {
  const x = drawn(matches, count, n, 0);
  const y = drawn(matches, count, n, 1);
  const u = drawn(matches, count, n, 2);
  const v = drawn(matches, count, n, 3);
  const p = load<f64>(h) * x + load<f64>(h, 8) * y + load<f64>(h, 16);
  const q = load<f64>(h, 24) * x + load<f64>(h, 32) * y + load<f64>(h, 40);
  const w = load<f64>(h, 48) * x + load<f64>(h, 56) * y + load<f64>(h, 64);
  store<f64>(out, v * w - q);
  store<f64>(out, p - u * w, 8);
  store<f64>(out, u * q - v * p, 16);
}
