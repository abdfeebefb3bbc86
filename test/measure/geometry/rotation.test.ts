import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  axisAngleOf,
  nearestRotation,
  quaternionOf,
  rotationAngleDeg,
  rotationFromAxisAngle,
  rotationFromQuaternion,
} from "#goodgate/measure/geometry/rotation.js";
import { apply } from "#goodgate/measure/geometry/vector.js";
import { chordalDistance, isRotation } from "../../support/rotations.js";

const component = fc.double({ min: -1.8, max: 1.8, noNaN: true });
const axisAngle = fc.tuple(component, component, component);

describe("rotation", () => {
  test("a quarter turn about z takes x to y", () => {
    const turned = apply(rotationFromAxisAngle([0, 0, Math.PI / 2]), [1, 0, 0]);
    expect(turned[0]).toBeCloseTo(0, 12);
    expect(turned[1]).toBeCloseTo(1, 12);
  });

  test("axis and angle come back, also near no turn and near half a turn", () => {
    fc.assert(
      fc.property(axisAngle, (w) => {
        const back = axisAngleOf(rotationFromAxisAngle(w));
        // Beyond half a turn the shorter way round comes back: compare the rotations.
        expect(chordalDistance(rotationFromAxisAngle(back), rotationFromAxisAngle(w))).toBeLessThan(1e-7);
      }),
    );
    expect(axisAngleOf(rotationFromAxisAngle([1e-9, 0, 0]))[0]).toBeCloseTo(1e-9, 15);
    expect(rotationAngleDeg(rotationFromAxisAngle([0, Math.PI, 0]))).toBeCloseTo(180, 6);
  });

  test("quaternions keep the rotation", () => {
    fc.assert(
      fc.property(axisAngle, (w) => {
        const r = rotationFromAxisAngle(w);
        expect(isRotation(r, 1e-9)).toBe(true);
        expect(chordalDistance(rotationFromQuaternion(quaternionOf(r)), r)).toBeLessThan(1e-9);
      }),
    );
  });

  test("the nearest rotation of a scaled rotation is that rotation", () => {
    const r = rotationFromAxisAngle([0.4, -1.1, 0.3]);
    expect(chordalDistance(nearestRotation(r.map((entry) => 3 * entry)), r)).toBeLessThan(1e-9);
  });
});
