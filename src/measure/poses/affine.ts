import { NormalEquations } from "../geometry/normal-equations.js";
import { symmetricEigen } from "../geometry/symmetric-eigen.js";
import { addScaled, cross, dot, length, type Vec3 } from "../geometry/vector.js";
import { upperMedian } from "../statistics.js";
import type { BundleCamera } from "./bundle.js";
import type { Tracks } from "./tracks.js";

/** Rounds of points and cameras in turn: more hardly bring further windows to rest. */
const PASSES = 60;
/** Points seen in fewer photos say nothing of how far the camera turned. */
const FEWEST_VIEWS = 3;
/** Least ratio of the eigenvalues of the metric: less, and noise outweighs the depth of the subject. */
const LEAST_DEPTH = 1e-3;

/** An affine camera: a point X is seen at (row . X + offset), once for x and once for y. */
interface AffineCamera {
  readonly rows: readonly [Vec3, Vec3];
  readonly offsets: readonly [number, number];
}

/**
 * Turns of cameras that stand so far away that nearer and farther parts of the subject are seen alike large. Then two
 * photos do not tell how far the camera turned between them (a flatter subject that turned more looks the same), three do.
 * Affine cameras and points are fitted in turn, both linear; that camera rows are at right angles and of one length then
 * gives the true shape, but for its mirror image.
 *
 * @param start cameras roughly placed, of which only the order of turns matters
 * @param rays x, y of every observation of the tracks, over the focal length
 * @returns the cameras and their mirror images; none where the photos do not turn enough.
 * @see Tomasi and Kanade 1992, "Shape and motion from image streams under orthography", IJCV 9 (the metric); here with
 * points missing from photos, hence in turn instead of by one singular value decomposition.
 */
export function affineCameras(
  start: readonly BundleCamera[],
  depths: readonly (number | undefined)[],
  tracks: Tracks,
  rays: Float64Array,
): BundleCamera[][] {
  const typical = upperMedian(depths.flatMap((depth) => (depth === undefined ? [] : [depth])));
  let cameras = start.map(({ rotation: r, centre }, i): AffineCamera => {
    const depth = depths[i] ?? typical;
    const rows: [Vec3, Vec3] = [
      [r[0] / depth, r[1] / depth, r[2] / depth],
      [r[3] / depth, r[4] / depth, r[5] / depth],
    ];
    return { rows, offsets: [-dot(rows[0], centre), -dot(rows[1], centre)] };
  });
  const used = Array.from({ length: tracks.count }, (_, p) => p).filter(
    (p) => tracks.start[p + 1] - tracks.start[p] >= FEWEST_VIEWS,
  );
  const points = new Float64Array(3 * tracks.count);
  const weights = new Float64Array(tracks.photo.length).fill(1);
  for (let pass = 0; pass < PASSES; pass++) {
    for (const p of used) placePoint(p, cameras, tracks, rays, weights, points);
    const fitted = fitCameras(cameras.length, used, tracks, rays, weights, points);
    if (!fitted) return [];
    cameras = fitted;
    weigh(used, cameras, tracks, rays, points, weights);
  }
  const middle = [0, 1, 2].map((e) => upperMedian(used.map((p) => points[3 * p + e])));
  return upgraded(cameras.map((camera) => recentred(camera, middle)));
}

/** Where the cameras see a point that looks right in all of them. */
function placePoint(
  p: number,
  cameras: readonly AffineCamera[],
  tracks: Tracks,
  rays: Float64Array,
  weights: Float64Array,
  points: Float64Array,
): void {
  const sums = new NormalEquations();
  for (let k = tracks.start[p]; k < tracks.start[p + 1]; k++) {
    const { rows, offsets } = cameras[tracks.photo[k]];
    for (const axis of [0, 1]) {
      const [x, y, z] = rows[axis];
      sums.addRow(x, y, z, rays[2 * k + axis] - offsets[axis], weights[k]);
    }
  }
  const place = sums.solve();
  if (place) points.set(place, 3 * p);
}

/** The cameras that see all points best where they are; undefined where one sees too few. */
function fitCameras(
  count: number,
  used: readonly number[],
  tracks: Tracks,
  rays: Float64Array,
  weights: Float64Array,
  points: Float64Array,
): AffineCamera[] | undefined {
  // About the weighted means of points and picture points, so that rows and offsets part.
  const means = Array.from({ length: count }, () => new Float64Array(6));
  const each = (use: (k: number, photo: number, p: number) => void): void => {
    for (const p of used)
      for (let k = tracks.start[p]; k < tracks.start[p + 1]; k++) use(k, tracks.photo[k], p);
  };
  each((k, photo, p) => {
    const mean = means[photo];
    for (let e = 0; e < 3; e++) mean[e] += weights[k] * points[3 * p + e];
    mean[3] += weights[k] * rays[2 * k];
    mean[4] += weights[k] * rays[2 * k + 1];
    mean[5] += weights[k];
  });
  for (const mean of means) for (let e = 0; e < 5; e++) mean[e] /= mean[5];
  const sums = means.map(() => [new NormalEquations(), new NormalEquations()]);
  each((k, photo, p) => {
    const mean = means[photo];
    const [x, y, z] = [0, 1, 2].map((e) => points[3 * p + e] - mean[e]);
    for (const axis of [0, 1])
      sums[photo][axis].addRow(x, y, z, rays[2 * k + axis] - mean[3 + axis], weights[k]);
  });
  const fitted = sums.map((own, photo): AffineCamera | undefined => {
    const [x, y] = own.map((equations) => equations.solve());
    if (!x || !y) return undefined;
    const middle = Array.from(means[photo].subarray(0, 3));
    return { rows: [x, y], offsets: [means[photo][3] - dot(x, middle), means[photo][4] - dot(y, middle)] };
  });
  return fitted.every((camera) => camera !== undefined) ? fitted : undefined;
}

/** Geman-McClure weights: wrong matches lie far off, and what affine cameras do not show lies at the median. */
function weigh(
  used: readonly number[],
  cameras: readonly AffineCamera[],
  tracks: Tracks,
  rays: Float64Array,
  points: Float64Array,
  weights: Float64Array,
): void {
  const squares: number[] = [];
  for (const p of used) {
    const point = points.subarray(3 * p, 3 * p + 3);
    for (let k = tracks.start[p]; k < tracks.start[p + 1]; k++) {
      const { rows, offsets } = cameras[tracks.photo[k]];
      let square = 0;
      for (const axis of [0, 1]) {
        const [x, y, z] = rows[axis];
        square += (x * point[0] + y * point[1] + z * point[2] + offsets[axis] - rays[2 * k + axis]) ** 2;
      }
      weights[k] = square;
      squares.push(square);
    }
  }
  const scale = 9 * upperMedian(squares) || 1;
  for (let k = 0; k < weights.length; k++) weights[k] = 1 / (1 + weights[k] / scale) ** 2;
}

function recentred({ rows, offsets }: AffineCamera, middle: Vec3): AffineCamera {
  return { rows, offsets: [offsets[0] + dot(rows[0], middle), offsets[1] + dot(rows[1], middle)] };
}

/** Brings affine cameras to a world without shear, in which both rows of each are at right angles and alike long. */
function upgraded(cameras: readonly AffineCamera[]): BundleCamera[][] {
  const normal = new Float64Array(36);
  const add = (row: readonly number[]): void => {
    for (let i = 0; i < 6; i++) for (let j = 0; j < 6; j++) normal[6 * i + j] += row[i] * row[j];
  };
  for (const {
    rows: [p, q],
  } of cameras) {
    const size = dot(p, p) + dot(q, q);
    const [pp, qq, pq] = [products(p, p), products(q, q), products(p, q)];
    add(pp.map((value, e) => (value - qq[e]) / size));
    add(pq.map((value) => (2 * value) / size));
  }
  const { vectors } = symmetricEigen(normal, 6);
  const [least] = vectors;
  const sign = Math.sign(least[0] + least[3] + least[5]);
  const [xx, xy, xz, yy, yz, zz] = least.map((value) => sign * value);
  const { values, vectors: axes } = symmetricEigen([xx, xy, xz, xy, yy, yz, xz, yz, zz], 3);
  if (!(values[0] > LEAST_DEPTH * values[2])) return [];
  // A square root of the metric: row . root is the row in a world without shear.
  const straight = (row: Vec3): number[] => axes.map((axis, k) => Math.sqrt(values[k]) * dot(row, axis));
  return [1, -1].map((mirror) =>
    cameras.map(({ rows, offsets }) => {
      const [p, q] = rows.map((row) => {
        const [x, y, z] = straight(row);
        return [x, y, mirror * z];
      });
      return placed(p, q, offsets);
    }),
  );
}

/** Coefficients of (xx, xy, xz, yy, yz, zz) in p . Q q. */
function products(p: Vec3, q: Vec3): number[] {
  return [
    p[0] * q[0],
    p[0] * q[1] + p[1] * q[0],
    p[0] * q[2] + p[2] * q[0],
    p[1] * q[1],
    p[1] * q[2] + p[2] * q[1],
    p[2] * q[2],
  ];
}

/** The camera whose picture is that of an affine one near the world's origin. */
function placed(p: Vec3, q: Vec3, [x, y]: readonly [number, number]): BundleCamera {
  const depth = 2 / (length(p) + length(q));
  // Both rows turned alike until they stand at right angles.
  const [u, v] = [p, q].map((row) => row.map((c) => c / length(row)));
  const [sum, difference] = [addScaled(u, v, 1), addScaled(u, v, -1)].map((d) =>
    d.map((c) => c / (Math.SQRT2 * length(d))),
  );
  const [right, down] = [addScaled(sum, difference, 1), addScaled(sum, difference, -1)];
  const ahead = cross(right, down);
  const rotation = [...right, ...down, ...ahead];
  const centre = [0, 1, 2].map((e) => -depth * (x * right[e] + y * down[e] + ahead[e]));
  return { rotation, centre };
}
