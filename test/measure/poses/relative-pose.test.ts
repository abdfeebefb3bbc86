import { describe, expect, test } from "vitest";
import { rotationAngleDeg, rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { angleDegBetween, apply, multiply, transpose, unit } from "#goodgate/measure/geometry/vector.js";
import { intrinsicsOf } from "#goodgate/measure/poses/intrinsics.js";
import { raysOf } from "#goodgate/measure/poses/rays.js";
import { relativePose } from "#goodgate/measure/poses/relative-pose.js";
import {
  cameraAt,
  FOCAL_35_MM,
  HAND_HELD,
  match,
  photograph,
  randomSource,
  STEADY,
  scene,
  type TrueCamera,
  trueRotation,
} from "./synthetic.js";

const camera = intrinsicsOf(1000, 750, FOCAL_35_MM);

function poseOf(a: TrueCamera, b: TrueCamera, seed: number, wall = 0) {
  const random = randomSource(seed);
  const points = scene(random, { wall });
  const [pa, pb] = [photograph(points, a, random), photograph(points, b, random)];
  const pose = relativePose(raysOf(pa, pb, match(points, pa, pb, random), camera, camera), camera.focalPx);
  if (!pose) throw new Error("too few matches");
  return pose;
}

describe("relativePose", () => {
  for (const wall of [0, 2500]) {
    test(`rotation and translation of steps of 5 to 20 degrees${wall ? " before a flat wall" : ""}, 8 % wrong matches`, () => {
      for (const [k, apart] of [5, 10, 15, 20].entries()) {
        const random = randomSource(k + 1);
        const [a, b] = [0, apart].map((azimuth) => cameraAt(azimuth, 20, 5, HAND_HELD, random));
        const { kind, candidates } = poseOf(a, b, 10 + k, wall);
        expect(kind).toBe("moved");
        expect(rotationAngleDeg(candidates[0].rotation, trueRotation(a, b))).toBeLessThan(1.6);
        const step = apply(
          b.rotation,
          a.centre.map((c, i) => c - b.centre[i]),
        );
        expect(angleDegBetween(candidates[0].translation, unit(step))).toBeLessThan(15);
        expect(candidates[0].inFrontRatio).toBeGreaterThan(0.7);
      }
    });
  }

  test("standing still and turning by 12 degrees is no step, and its rotation is right", () => {
    for (let seed = 1; seed <= 5; seed++) {
      const a = cameraAt(30 * seed, 20, 5, HAND_HELD, randomSource(seed));
      const turn = rotationFromAxisAngle([0.05, 0.2, 0.02]);
      const b = { ...a, rotation: multiply(turn, a.rotation) };
      const { kind, candidates, parallaxPx } = poseOf(a, b, 40 + seed, 1500);
      expect(kind).toBe("pure-rotation");
      expect(parallaxPx).toBeLessThan(1.3);
      expect(rotationAngleDeg(candidates[0].rotation, turn)).toBeLessThan(0.5);
    }
  });

  test("a step of 3 degrees around the subject is a step", () => {
    const [a, b] = [0, 3].map((azimuth) => cameraAt(azimuth, 20, 5, STEADY, randomSource(1)));
    expect(poseOf(a, b, 3).kind).toBe("moved");
  });

  test("candidates come cheapest first among those in front, and none is a copy of another", () => {
    const [a, b] = [0, 15].map((azimuth) => cameraAt(azimuth, 20, 5, HAND_HELD, randomSource(9)));
    const { candidates } = poseOf(a, b, 5, 2500);
    const front = candidates.filter(({ inFrontRatio }) => inFrontRatio >= 0.7);
    expect(front.map(({ cost }) => cost)).toEqual([...front.map(({ cost }) => cost)].sort((p, q) => p - q));
    for (const [k, one] of candidates.entries()) {
      for (const other of candidates.slice(k + 1)) {
        const apart =
          rotationAngleDeg(one.rotation, other.rotation) +
          angleDegBetween(one.translation, other.translation);
        expect(apart).toBeGreaterThan(0.5);
      }
    }
  });

  test("swapping the photos turns the rotation round", () => {
    const random = randomSource(21);
    const points = scene(random);
    const [a, b] = [0, 12].map((azimuth) =>
      photograph(points, cameraAt(azimuth, 20, 5, HAND_HELD, random), random),
    );
    const inliers = match(points, a, b, random);
    const back = Int32Array.from(inliers, (_, i) => inliers[i ^ 1]);
    const there = relativePose(raysOf(a, b, inliers, camera, camera), camera.focalPx);
    const again = relativePose(raysOf(b, a, back, camera, camera), camera.focalPx);
    const [r, s] = [there, again].map((pose) => pose?.candidates[0].rotation ?? []);
    expect(rotationAngleDeg(r, transpose(s))).toBeLessThan(0.3);
  });

  test("fewer than twelve matches give no pose", () => {
    expect(relativePose(new Float64Array(44), 1000)).toBeUndefined();
  });

  test("the same matches give the same bytes", () => {
    const [a, b] = [0, 10].map((azimuth) => cameraAt(azimuth, 20, 5, HAND_HELD, randomSource(2)));
    expect(poseOf(a, b, 8)).toEqual(poseOf(a, b, 8));
  });
});

test("28 mm on 4032 x 3024 px is 3261 px, where calibration of such a phone gives 3260.5", () => {
  expect(intrinsicsOf(4032, 3024, 28).focalPx).toBeCloseTo(3261.4, 0);
});
