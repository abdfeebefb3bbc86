import { addOuter } from "./outer";

/** Sums over matched points from which homographies and fundamental matrices are fitted, double precision. */

const ofFrom = memory.data(6 * 8);
const ofTo = memory.data(6 * 8);

/**
 * Where to move some points and how to scale them, so that their centroid is 0 and their mean distance from it sqrt 2.
 *
 * @param points count times (x, y), f64; where all coincide they get scale 1
 * @param out three f64: centre x, centre y, scale
 */
export function normalise(points: usize, count: i32, out: usize): void {
  let x: f64 = 0;
  let y: f64 = 0;
  for (let i = 0; i < count; i++) {
    x += load<f64>(points + 16 * i);
    y += load<f64>(points + 16 * i, 8);
  }
  x /= count;
  y /= count;
  let distance: f64 = 0;
  for (let i = 0; i < count; i++) {
    const dx = load<f64>(points + 16 * i) - x;
    const dy = load<f64>(points + 16 * i, 8) - y;
    distance += sqrt(dx * dx + dy * dy);
  }
  store<f64>(out, x);
  store<f64>(out, y, 8);
  store<f64>(out, distance > 0 ? (Math.SQRT2 * count) / distance : 1, 16);
}

/**
 * Sums over matched points, (x, y) and (u, v), of each product of two entries of (u, v, 1) times each of two of (x, y, 1).
 *
 * @param fromNormal how the points of `from` are normalised, see {@link normalise}; `toNormal` those of `to`
 * @param weights f64, one a match
 * @param sums 36 f64, zeros at first: a row of (xx, xy, x, yy, y, 1) times each of (uu, uv, u, vv, v, 1)
 */
export function addProducts(
  from: usize,
  fromNormal: usize,
  to: usize,
  toNormal: usize,
  weights: usize,
  count: i32,
  sums: usize,
): void {
  for (let i = 0; i < count; i++) {
    const weight = load<f64>(weights + 8 * i);
    if (weight === 0) continue;
    writeProducts(from + 16 * i, fromNormal, ofFrom);
    writeProducts(to + 16 * i, toNormal, ofTo);
    addOuter(weight, ofTo, 6, ofFrom, sums);
  }
}

function writeProducts(point: usize, normal: usize, out: usize): void {
  const scale = load<f64>(normal, 16);
  const x = scale * (load<f64>(point) - load<f64>(normal));
  const y = scale * (load<f64>(point, 8) - load<f64>(normal, 8));
  store<f64>(out, x * x);
  store<f64>(out, x * y, 8);
  store<f64>(out, x, 16);
  store<f64>(out, y * y, 24);
  store<f64>(out, y, 32);
  store<f64>(out, 1, 40);
}
