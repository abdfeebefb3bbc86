import { describe, expect, test } from "vitest";
import { rotationAngleDeg, rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { multiply, transpose } from "#goodgate/measure/geometry/vector.js";
import { scaledTurn, solveClosedRotations } from "#goodgate/measure/poses/close-loops.js";

const COUNT = 24;
const STEP = (2 * Math.PI) / COUNT;
const truth = Array.from({ length: COUNT }, (_, i) => rotationFromAxisAngle([0, i * STEP, 0]));

/** Links of a ring to the next three photos, all turns `share` times what they were. */
function ringLinks(share: number) {
  return truth.flatMap((_, i) =>
    [1, 2, 3].map((ahead) => {
      const j = (i + ahead) % COUNT;
      const rotation = scaledTurn(multiply(truth[j]!, transpose(truth[i]!)), share);
      return i < j
        ? { i, j, rotations: [rotation], inliers: 200 }
        : { i: j, j: i, rotations: [transpose(rotation)], inliers: 200 };
    }),
  );
}

describe("solveClosedRotations", () => {
  test.each([1, 1 / 1.06, 1.06, 1 / 1.1, 1.12])(
    "a ring whose turns are all %d times too large keeps its loop",
    (share) => {
      const { used, parts, rotations } = solveClosedRotations(COUNT, ringLinks(share));
      expect(parts).toHaveLength(1);
      expect(used.every(Boolean)).toBe(true);
      for (let i = 0; i < COUNT; i++) {
        const step = multiply(rotations[(i + 1) % COUNT]!, transpose(rotations[i]!));
        expect(Math.abs(rotationAngleDeg(step) - 360 / COUNT)).toBeLessThan(0.6);
      }
    },
  );

  test("an open arc has no loop to close: its turns stay as they are", () => {
    const arc = ringLinks(1.1).filter(({ i, j }) => j - i <= 3);
    const { rotations } = solveClosedRotations(COUNT, arc);
    const step = multiply(rotations[1]!, transpose(rotations[0]!));
    expect(rotationAngleDeg(step)).toBeCloseTo(1.1 * (360 / COUNT), 1);
  });

  test("a wrong link or two do not make it doubt all others", () => {
    const links = ringLinks(1);
    const wrong = { ...links[10]!, rotations: [rotationFromAxisAngle([0.5, 0, 0])] };
    const { used } = solveClosedRotations(COUNT, links.with(10, wrong));
    expect(used.filter((use) => !use)).toHaveLength(1);
    expect(used[10]).toBe(false);
  });
});

describe("scaledTurn", () => {
  test("turns about the same axis, so many times as far", () => {
    const turn = rotationFromAxisAngle([0.1, 0.2, -0.1]);
    const twice = multiply(turn, turn);
    scaledTurn(turn, 2).forEach((value, k) => {
      expect(value).toBeCloseTo(twice[k]!, 12);
    });
  });
});
