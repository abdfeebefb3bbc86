import { expect, test } from "vitest";
import { motionsOfHomography } from "#goodgate/measure/geometry/homography-motion.js";
import { createRandom } from "#goodgate/measure/geometry/random.js";
import { rotationAngleDeg, rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { angleDegBetween, length, unit } from "#goodgate/measure/geometry/vector.js";

test("one of the two motions of R + t nT is the true one, whatever the scale and sign", () => {
  const random = createRandom(5);
  const spread = (s: number) => s * (random.next() - 0.5);
  for (let k = 0; k < 50; k++) {
    const r = rotationFromAxisAngle([spread(1), spread(1), spread(1)]);
    const t = [spread(1), spread(1), spread(1)];
    const n = unit([spread(1), spread(1), 1]);
    const scale = k % 2 === 0 ? -3 : 0.5;
    const found = motionsOfHomography(r.map((entry, i) => scale * (entry + t[Math.floor(i / 3)] * n[i % 3])));
    expect(found).toHaveLength(2);
    const errors = found.map(
      (m) =>
        rotationAngleDeg(m.rotation, r) +
        angleDegBetween(m.translation, t) +
        angleDegBetween(m.normal, n) +
        Math.abs(m.baselineOverDistance - length(t)),
    );
    expect(Math.min(...errors)).toBeLessThan(1e-4);
  }
});

test("a pure rotation comes back alone, with no baseline", () => {
  const r = rotationFromAxisAngle([0.1, 0.3, -0.2]);
  const found = motionsOfHomography(r);
  expect(found).toHaveLength(1);
  expect(found[0].baselineOverDistance).toBe(0);
  expect(rotationAngleDeg(found[0].rotation, r)).toBeLessThan(1e-6);
});

test("a singular matrix stands for no motion", () => {
  expect(motionsOfHomography([1, 0, 0, 0, 1, 0, 0, 0, 0])).toEqual([]);
});
