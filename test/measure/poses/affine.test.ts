import { describe, expect, test } from "vitest";
import { rotationAngleDeg, rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { apply, multiply, transpose } from "#goodgate/measure/geometry/vector.js";
import { affineCameras } from "#goodgate/measure/poses/affine.js";
import { randomSource } from "./synthetic.js";

describe("affineCameras", () => {
  test("turns of six far cameras come back from a start twice too far, in one of two mirror images", () => {
    const random = randomSource(3);
    const turn = (degrees: number) =>
      multiply(rotationFromAxisAngle([0.35, 0, 0]), rotationFromAxisAngle([0, (degrees * Math.PI) / 180, 0]));
    const cameraAt = (rotation: number[]) => ({
      rotation,
      centre: apply(transpose(rotation), [0, 0, -1000]),
    });
    const truth = [0, 7, 15, 21, 30, 36].map((degrees) => turn(degrees));
    const start = [0, 14, 30, 42, 60, 72].map((degrees) => cameraAt(turn(degrees)));
    const points = Array.from({ length: 40 }, () => [0, 1, 2].map(() => 2 * random() - 1));
    const photo = points.flatMap(() => truth.map((_, k) => k));
    const tracks = {
      count: points.length,
      start: Int32Array.from({ length: points.length + 1 }, (_, p) => truth.length * p),
      photo: Int32Array.from(photo),
      keypoint: new Int32Array(photo.length),
    };
    const rays = Float64Array.from(
      points.flatMap((point) =>
        truth.flatMap((rotation) => {
          const [x, y, z] = apply(rotation, point);
          return [x / (1000 + z), y / (1000 + z)];
        }),
      ),
    );
    const images = affineCameras(
      start,
      start.map(() => 1000),
      tracks,
      rays,
    );
    expect(images).toHaveLength(2);
    const errors = images.map((cameras) =>
      Math.max(
        ...cameras.map(({ rotation }, k) =>
          rotationAngleDeg(
            multiply(rotation, transpose(cameras[0].rotation)),
            multiply(truth[k], transpose(truth[0])),
          ),
        ),
      ),
    );
    expect(Math.min(...errors)).toBeLessThan(0.5);
  });
});
