import { describe, expect, test } from "vitest";
import { essentialOf, fivePoint, motionsOf } from "#goodgate/measure/geometry/essential.js";
import { createRandom } from "#goodgate/measure/geometry/random.js";
import { IDENTITY, rotationAngleDeg, rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { sampsonSquared } from "#goodgate/measure/geometry/sampson.js";
import { angleDegBetween, apply, unit } from "#goodgate/measure/geometry/vector.js";
import { isMotion } from "../../support/rotations.js";

/** A motion and matches of points in front of both cameras. */
function example(seed: number, count: number) {
  const random = createRandom(seed);
  const spread = (s: number) => s * (random.next() - 0.5);
  const rotation = rotationFromAxisAngle([spread(0.6), spread(0.6), spread(0.6)]);
  const translation = unit([spread(2), spread(2), spread(2)]);
  const points = new Float64Array(4 * count);
  for (let i = 0; i < count; i++) {
    const p = [spread(4), spread(4), 4 + 3 * random.next()];
    const q = apply(rotation, p).map((c, k) => c + translation[k]);
    points.set([p[0] / p[2], p[1] / p[2], q[0] / q[2], q[1] / q[2]], 4 * i);
  }
  return { motion: { rotation, translation }, points };
}

describe("essential matrix", () => {
  test("a step to the right without a turn is 0 0 0 / 0 0 -1 / 0 1 0", () => {
    const e = essentialOf({ rotation: IDENTITY, translation: [1, 0, 0] }).map((entry) => entry + 0);
    expect(e).toEqual([0, 0, 0, 0, 0, -1, 0, 1, 0]);
  });

  test("its Sampson distance for (.1, .2) and (.3, .21) is .01 squared / 2 = 5.0e-5", () => {
    const e = essentialOf({ rotation: IDENTITY, translation: [1, 0, 0] });
    expect(sampsonSquared(e, 0.1, 0.2, 0.3, 0.21)).toBeCloseTo(5e-5, 12);
  });

  test("one of its four motions is the true one, and all are proper motions", () => {
    for (let seed = 1; seed <= 20; seed++) {
      const { motion } = example(seed, 0);
      const motions = motionsOf(essentialOf(motion));
      expect(motions).toHaveLength(4);
      expect(motions.every(isMotion)).toBe(true);
      const best = Math.min(
        ...motions.map(
          (m) =>
            rotationAngleDeg(m.rotation, motion.rotation) +
            angleDegBetween(m.translation, motion.translation),
        ),
      );
      expect(best).toBeLessThan(1e-5);
    }
  });

  test("five times the same match determine nothing", () => {
    const { points } = example(3, 1);
    expect(fivePoint(points, [0, 0, 0, 0, 0])).toEqual([]);
  });
});
