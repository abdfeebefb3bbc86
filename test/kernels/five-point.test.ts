import { Matrix, solve } from "ml-matrix";
import { expect, test } from "vitest";
import { essentialOf, fivePoint, type Motion, movedMotion } from "#goodgate/measure/geometry/essential.js";
import { createRandom, type Random } from "#goodgate/measure/geometry/random.js";
import { tangentsOf } from "#goodgate/measure/geometry/refine.js";
import { IDENTITY, rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { apply, multiply, transpose, unit } from "#goodgate/measure/geometry/vector.js";

const FIRST_FIVE = [0, 1, 2, 3, 4];

/** Five exact matches of points that both cameras have in front of them. */
function exactMatches(
  { rotation, translation }: Motion,
  point: () => readonly [x: number, y: number, z: number],
): Float64Array {
  return Float64Array.from(
    FIRST_FIVE.flatMap(() => {
      const p = point();
      const q = apply(rotation, p).map((coordinate, axis) => coordinate + translation[axis]!);
      return [p[0] / p[2], p[1] / p[2], q[0]! / q[2]!, q[1]! / q[2]!];
    }),
  );
}

const spread = (random: Random, width: number): number => width * (random.next() - 0.5);

function motionOf(random: Random, turnRad = 0.8): Motion {
  const three = (width: number) => [spread(random, width), spread(random, width), spread(random, width)];
  return { rotation: rotationFromAxisAngle(three(turnRad)), translation: unit(three(2)) };
}

const anywhere = (random: Random) => () =>
  [spread(random, 4), spread(random, 4), 4 + 3 * random.next()] as const;

/** Largest difference of two matrices, each brought to unit norm, whatever their signs. */
function apart(a: ArrayLike<number>, b: ArrayLike<number>): number {
  const [m, n] = [a, b].map((matrix) => {
    const norm = Math.hypot(...Array.from(matrix));
    return Array.from(matrix, (entry) => entry / norm);
  }) as [number[], number[]];
  const by = (sign: number) => Math.max(...m.map((entry, i) => Math.abs(entry - sign * n[i]!)));
  return Math.min(by(1), by(-1));
}

const nearest = (solutions: readonly Float64Array[], wanted: ArrayLike<number>): number =>
  Math.min(Number.POSITIVE_INFINITY, ...solutions.map((solution) => apart(solution, wanted)));

/** By how much each of five matches misses xbT E xa = 0. */
function residuals(e: ArrayLike<number>, points: Float64Array): number[] {
  return FIRST_FIVE.map((k) => {
    const [xa, ya, xb, yb] = points.subarray(4 * k) as unknown as [number, number, number, number];
    return (
      xb * (e[0]! * xa + e[1]! * ya + e[2]!) +
      yb * (e[3]! * xa + e[4]! * ya + e[5]!) +
      (e[6]! * xa + e[7]! * ya + e[8]!)
    );
  });
}

/** Errors of the best solution for `count` exact samples of motions. */
function errorsOf(
  count: number,
  seed: number,
  motion: (random: Random) => Motion,
  points: (random: Random) => () => readonly [x: number, y: number, z: number] = anywhere,
): number[] {
  const random = createRandom(seed);
  return Array.from({ length: count }, () => {
    const truth = motion(random);
    return nearest(fivePoint(exactMatches(truth, points(random)), FIRST_FIVE), essentialOf(truth));
  });
}

const shareWithin = (errors: readonly number[], most: number): number =>
  errors.filter((error) => error <= most).length / errors.length;

/** A plane across the view, somewhat slanted. */
function onPlane(random: Random) {
  const [alongX, alongY] = [spread(random, 1), spread(random, 1)];
  return () => {
    const [x, y] = [spread(random, 4), spread(random, 4)];
    return [x, y, 6 + alongX * x + alongY * y] as const;
  };
}

const TURN_RAD = Math.PI / 12;
const to = (...translation: [number, number, number]): Motion => ({
  rotation: IDENTITY,
  translation: unit(translation),
});

// Some samples lose digits on the way through one polynomial of degree 10, most of all those of a plane.
test.each<[how: string, within: number, motion: (random: Random) => Motion, points?: typeof anywhere]>([
  ["any motion", 0.99, motionOf],
  ["any motion before a plane", 0.98, motionOf, onPlane],
  ["a step to the right", 0.99, () => to(1, 0, 0)],
  ["a step down", 0.99, () => to(0, 1, 0)],
  ["a step ahead", 0.99, () => to(0, 0, 1)],
  ["a step to the right and ahead", 0.99, () => to(3, 0, 1)],
  [
    "15 degrees of the way around a subject 5 away",
    0.99,
    () => ({
      rotation: rotationFromAxisAngle([0, TURN_RAD, 0]),
      translation: unit([-5 * Math.sin(TURN_RAD), 0, 5 * (1 - Math.cos(TURN_RAD))]),
    }),
  ],
])("%s is among the solutions: mostly to 1e-8, and in a share of %d to 1e-3", (_, within, motion, points) => {
  const errors = errorsOf(500, 14, motion, points);
  expect(shareWithin(errors, 1e-8)).toBeGreaterThan(0.85);
  expect(shareWithin(errors, 1e-3)).toBeGreaterThanOrEqual(within);
});

test("every solution of 200 random samples fits its five matches and is a motion's", () => {
  const random = createRandom(16);
  for (let n = 0; n < 200; n++) {
    const points = Float64Array.from({ length: 20 }, () => spread(random, 1));
    for (const e of fivePoint(points, FIRST_FIVE)) {
      expect(Math.max(...residuals(e, points).map(Math.abs))).toBeLessThan(1e-10);
      // Two equal singular values and a third of 0 (Hartley and Zisserman, result 9.17, cited from memory).
      const square = multiply(e, transpose(e));
      const trace = square[0]! + square[4]! + square[8]!;
      const off = multiply(square, e).map((entry, i) => Math.abs(2 * entry - trace * e[i]!));
      expect(Math.max(...off)).toBeLessThan(1e-3);
    }
  }
});

test("Newton's method from 300 random motions finds all solutions, and none besides", () => {
  const random = createRandom(17);
  for (let n = 0; n < 12; n++) {
    const points = Float64Array.from({ length: 20 }, () => spread(random, 1));
    const solutions = fivePoint(points, FIRST_FIVE);
    const searched: number[][] = [];
    for (let start = 0; start < 300; start++) {
      const e = newton(motionOf(random, 2 * Math.PI), points);
      if (e !== undefined && !searched.some((other) => apart(other, e) < 1e-6)) searched.push(e);
    }
    expect(solutions, `sample ${n}`).toHaveLength(searched.length);
    for (const e of searched) expect(nearest(solutions, e), `sample ${n}`).toBeLessThan(1e-4);
  }
});

/** The essential matrix that five equations in the five freedoms of a motion lead to, where the search ends at one. */
function newton(start: Motion, points: Float64Array): number[] | undefined {
  const STEP = 1e-6;
  let motion = start;
  for (let round = 0; round < 40; round++) {
    const now = residuals(essentialOf(motion), points);
    if (Math.max(...now.map(Math.abs)) < 1e-13) return essentialOf(motion);
    const [d1, d2] = tangentsOf(motion.translation);
    const freedoms = [
      ...[0, 1, 2].map(
        (axis) => (by: number) =>
          movedMotion(
            motion,
            [0, 1, 2].map((k) => (k === axis ? by : 0)),
            [0, 0, 0],
          ),
      ),
      ...[d1!, d2!].map(
        (d) => (by: number) =>
          movedMotion(
            motion,
            [0, 0, 0],
            d.map((c) => by * c),
          ),
      ),
    ];
    const columns = freedoms.map((moved) => {
      const [ahead, back] = [STEP, -STEP].map((by) => residuals(essentialOf(moved(by)), points));
      return ahead!.map((value, i) => (value - back![i]!) / (2 * STEP));
    });
    const step = solve(new Matrix(columns).transpose(), Matrix.columnVector(now), true).to1DArray();
    // Long steps leave the range in which a motion is nearly linear.
    const shorter = Math.min(1, 0.5 / Math.hypot(...step));
    const [wx, wy, wz, along, across] = step.map((length) => -shorter * length) as [
      number,
      number,
      number,
      number,
      number,
    ];
    motion = movedMotion(
      motion,
      [wx, wy, wz],
      d1!.map((c, k) => along * c + across * d2![k]!),
    );
  }
  return undefined;
}
