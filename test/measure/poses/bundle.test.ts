import { describe, expect, test } from "vitest";
import { withArena } from "#goodgate/kernels/arena.js";
import { rotationAngleDeg, rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { apply, multiply, transpose } from "#goodgate/measure/geometry/vector.js";
import { adjustBundle } from "#goodgate/measure/poses/bundle.js";
import { factorise, substitute } from "#goodgate/measure/poses/cholesky.js";
import type { Tracks } from "#goodgate/measure/poses/tracks.js";
import { cameraAt, gaussian, HAND_HELD, randomSource } from "./synthetic.js";

/** Eight cameras around 60 points, all seen by all, through a lens with the given focal factor and distortion. */
function problem(focal: number, k1: number, noise = 0) {
  const random = randomSource(12);
  const cameras = Array.from({ length: 8 }, (_, k) =>
    cameraAt(12 * k, 15 + 8 * (k % 3), 5, HAND_HELD, random),
  );
  const count = 60;
  const tracks: Tracks = {
    count,
    start: Int32Array.from({ length: count + 1 }, (_, p) => 8 * p),
    photo: Int32Array.from({ length: 8 * count }, (_, k) => k % 8),
    keypoint: Int32Array.from({ length: 8 * count }, (_, k) => k >> 3),
  };
  const rays = new Float64Array(16 * count);
  for (let p = 0; p < count; p++) {
    const point = [0, 1, 2].map(() => 3 * (random() - 0.5));
    cameras.forEach(({ rotation, centre }, c) => {
      const [X, Y, Z] = apply(
        rotation,
        point.map((v, i) => v - centre[i]),
      );
      const [x, y] = [X / Z, Y / Z];
      const stretch = focal * (1 + k1 * (x * x + y * y));
      rays[2 * (8 * p + c)] = stretch * x + noise * gaussian(random);
      rays[2 * (8 * p + c) + 1] = stretch * y + noise * gaussian(random);
    });
  }
  return { cameras, tracks, rays };
}

const OPTIONS = { limit: 0.002, steps: 30, freeFocal: true };

/** Rotation from camera 0 to camera k, which no choice of world changes. */
const relative = (rotations: readonly ArrayLike<number>[], k: number) =>
  multiply(rotations[k], transpose(rotations[0]));

describe("adjustBundle", () => {
  test("a focal length 8 % off and a bent lens are found along with cameras that start 1 degree off", () => {
    const { cameras, tracks, rays } = problem(1.08, -0.1);
    const start = cameras.map(({ rotation, centre }, k) => ({
      rotation: multiply(rotationFromAxisAngle([0.01 * (k % 2), 0.015, -0.01]), rotation),
      centre: centre.map((c, i) => c + 0.05 * ((k + i) % 3)),
    }));
    const bundle = adjustBundle(start, tracks, rays, OPTIONS);
    expect(bundle?.focalFactor).toBeCloseTo(1.08, 2);
    expect(bundle?.k1).toBeCloseTo(-0.1, 1);
    const solved = bundle?.cameras.map(({ rotation }) => rotation) ?? [];
    const truth = cameras.map(({ rotation }) => rotation);
    for (let k = 1; k < 8; k++)
      expect(rotationAngleDeg(relative(solved, k), relative(truth, k))).toBeLessThan(0.05);
    expect(bundle?.points).toHaveLength(180);
  });

  test("with noise the stated error of the focal length covers its error", () => {
    const { cameras, tracks, rays } = problem(1.05, 0, 0.0006);
    const bundle = adjustBundle(cameras, tracks, rays, OPTIONS);
    const sigma = bundle?.focalSigma ?? 0;
    expect(sigma).toBeGreaterThan(0);
    expect(sigma).toBeLessThan(0.02);
    expect(Math.abs(Math.log((bundle?.focalFactor ?? 0) / 1.05))).toBeLessThan(3 * sigma);
  });

  test("points with a wrong match have no place among the points", () => {
    const { cameras, tracks, rays } = problem(1, 0);
    for (const p of [3, 17]) rays[16 * p + 4] += 0.05;
    expect(adjustBundle(cameras, tracks, rays, OPTIONS)?.points).toHaveLength(3 * 58);
  });

  test("no points, no bundle", () => {
    const none: Tracks = {
      count: 0,
      start: Int32Array.of(0),
      photo: new Int32Array(0),
      keypoint: new Int32Array(0),
    };
    expect(adjustBundle(problem(1, 0).cameras, none, new Float64Array(0), OPTIONS)).toBeUndefined();
  });
});

describe("factorise", () => {
  test("[[4, 2, 0], [2, 5, 4], [0, 4, 5]] is the square of [[2], [1, 2], [0, 2, 1]]", () => {
    withArena((arena) => {
      const at = arena.take(72);
      const a = arena.f64(at, 9);
      a.set([4, 0, 0, 2, 5, 0, 0, 4, 5]);
      expect(factorise(at, 3)).toBe(true);
      expect([a[0], a[3], a[4], a[6], a[7], a[8]]).toEqual([2, 1, 2, 0, 2, 1]);
      // A (1, 1, 1) = (6, 11, 9).
      const b = Float64Array.of(6, 11, 9);
      substitute(a, 3, b);
      expect([...b]).toEqual([1, 1, 1]);
    });
  });

  test("a matrix that is not positive definite has no factor", () => {
    withArena((arena) => {
      const at = arena.take(32);
      arena.f64(at, 4).set([1, 0, 2, 1]);
      expect(factorise(at, 2)).toBe(false);
    });
  });
});
