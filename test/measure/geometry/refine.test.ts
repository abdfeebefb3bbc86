import { describe, expect, test } from "vitest";
import { createRandom } from "#goodgate/measure/geometry/random.js";
import { inliersOf, msacCost, refineMotion, tangentsOf } from "#goodgate/measure/geometry/refine.js";
import { rotationAngleDeg, rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { angleDegBetween, apply, dot, multiply, unit } from "#goodgate/measure/geometry/vector.js";

const truth = { rotation: rotationFromAxisAngle([0.05, -0.2, 0.03]), translation: unit([-1, 0.1, 0.2]) };

function matches(wrong: number): Float64Array {
  const random = createRandom(3);
  const points = new Float64Array(4 * 120);
  for (let i = 0; i < 120; i++) {
    const p = [3 * (random.next() - 0.5), 3 * (random.next() - 0.5), 4 + 2 * random.next()];
    const q = apply(truth.rotation, p).map((c, k) => c + truth.translation[k]);
    const off = i < wrong ? 0.3 * (random.next() - 0.5) : 0;
    points.set([p[0] / p[2], p[1] / p[2], q[0] / q[2] + off, q[1] / q[2] - off], 4 * i);
  }
  return points;
}

describe("refineMotion", () => {
  test("finds the exact motion from two degrees off, with a tenth of the matches wrong", () => {
    const start = {
      rotation: multiply(rotationFromAxisAngle([0.02, 0.02, -0.02]), truth.rotation),
      translation: unit([-1, 0.15, 0.15]),
    };
    const points = matches(12);
    const rough = refineMotion(points, start, { scale: 0.01, steps: 10 }).motion;
    const { motion, cost } = refineMotion(points, rough, { scale: 0.001, steps: 20 });
    expect(rotationAngleDeg(motion.rotation, truth.rotation)).toBeLessThan(0.05);
    expect(angleDegBetween(motion.translation, truth.translation)).toBeLessThan(0.3);
    expect(cost).toBeLessThan(refineMotion(points, start, { scale: 0.001, steps: 0 }).cost);
  });

  test("leaves the exact motion where it is", () => {
    const { motion, cost } = refineMotion(matches(0), truth, { scale: 0.01, steps: 10 });
    expect(cost).toBeLessThan(1e-20);
    expect(rotationAngleDeg(motion.rotation, truth.rotation)).toBeLessThan(1e-6);
  });
});

test("the truncated cost is the share of matches that do not fit, where the others fit exactly", () => {
  const points = matches(0);
  points[2] += 5;
  points[3] -= 5;
  expect(msacCost(points, truth, 0.01)).toBeCloseTo(1 / 120, 9);
  expect(inliersOf(points, truth, 0.01)).toHaveLength(119);
});

test("tangents are unit vectors across the translation and each other", () => {
  const [p, q] = tangentsOf(truth.translation);
  expect(dot(p, truth.translation)).toBeCloseTo(0, 12);
  expect(dot(q, truth.translation)).toBeCloseTo(0, 12);
  expect(dot(p, q)).toBeCloseTo(0, 12);
  expect(dot(p, p)).toBeCloseTo(1, 12);
});
