import { describe, expect, test } from "vitest";
import { levelPlane } from "#goodgate/measure/coverage/level.js";
import { angleDegBetween } from "#goodgate/measure/geometry/vector.js";
import { gaussian, randomSource } from "../poses/synthetic.js";

const UP = [0, 0, 1];
const CENTRE = [0, 0, 0];
/** Distance of the cameras; the subject is a ball of radius 1 around the origin on a table at -1. */
const DISTANCE = 5;

/** Points of the subject, then of a plane through (0, 0, -1) that rises by slope along x. */
function points(subject: number, plane: number, slope = 0, height = -1): Float64Array {
  const random = randomSource(4);
  const ball = Array.from({ length: subject }, () => {
    const [x, y, z] = [0, 1, 2].map(() => gaussian(random));
    const l = Math.hypot(x, y, z);
    return [x / l, y / l, z / l];
  });
  const flat = Array.from({ length: plane }, () => {
    const [x, y] = [0, 1].map(() => 4 * (random() - 0.5));
    return [x, y, height + slope * x + 0.005 * gaussian(random)];
  });
  return Float64Array.from([...ball, ...flat].flat());
}

describe("levelPlane", () => {
  test("a table seen in a third of the points is found, and its normal to a tenth of a degree", () => {
    const found = levelPlane(points(60, 30), CENTRE, DISTANCE, UP, 5);
    expect(found?.count).toBeGreaterThanOrEqual(30);
    expect(found?.height).toBeCloseTo(-1, 2);
    expect(angleDegBetween(found?.normal ?? [0, 0, 0], UP)).toBeLessThan(0.1);
  });

  test("a rough up is put right: 3 degrees off, the normal still points up", () => {
    const rough = [Math.sin(0.05), 0, Math.cos(0.05)];
    const found = levelPlane(points(60, 60), CENTRE, DISTANCE, rough, 6);
    expect(angleDegBetween(found?.normal ?? [0, 0, 0], UP)).toBeLessThan(0.2);
  });

  test("a slope steeper than allowed is no table", () => {
    expect(levelPlane(points(60, 60, Math.tan(0.2)), CENTRE, DISTANCE, UP, 5)).toBeUndefined();
  });

  test("a surface with as much beneath it carries nothing", () => {
    const shelf = points(0, 40, 0, -0.4);
    const floor = points(0, 30, 0, -1.2).map((value, i) => (i % 3 === 2 ? value - 0.02 * (i % 7) : value));
    const found = levelPlane(Float64Array.from([...shelf, ...floor]), CENTRE, DISTANCE, UP, 5);
    expect(found?.count ?? 0).not.toBe(40);
  });

  test("the flat top of a subject, above its middle, is none", () => {
    expect(levelPlane(points(10, 60, 0, 0.6), CENTRE, DISTANCE, UP, 5)).toBeUndefined();
  });

  test("a ball alone, or hardly any points: none", () => {
    expect(levelPlane(points(80, 0), CENTRE, DISTANCE, UP, 5)).toBeUndefined();
    expect(levelPlane(points(0, 8), CENTRE, DISTANCE, UP, 5)).toBeUndefined();
    expect(levelPlane(new Float64Array(0), CENTRE, DISTANCE, UP, 5)).toBeUndefined();
  });

  const grid = (low: number, high: number, count: number, z: number): number[] =>
    Array.from({ length: count * count }, (_, k) => [
      low + ((high - low) * (k % count)) / (count - 1),
      low + ((high - low) * Math.floor(k / count)) / (count - 1),
      z,
    ]).flat();

  test("the table and not the lid, though the lid has more points", () => {
    const table = grid(-0.4, 0.4, 12, 0);
    const lid = grid(-0.1, 0.1, 15, 0.2);
    const sides = Array.from({ length: 60 }, (_, k) => [0.1, -0.1 + 0.0033 * k, 0.003 * k]).flat();
    const all = Float64Array.from([...table, ...lid, ...sides]);
    const plane = levelPlane(all, [0, 0, 0.1], 0.5, [0.05, 0, 0.9987], 15);
    expect(plane?.height).toBeCloseTo(0, 3);
    expect(plane?.normal[2]).toBeCloseTo(1, 3);
  });

  test("none among points that lie in no level plane", () => {
    const wall = grid(-0.3, 0.3, 12, 0).map((_, k, all) =>
      k % 3 === 2 ? all[k - 2]! : k % 3 === 0 ? 0.2 : all[k]!,
    );
    expect(levelPlane(Float64Array.from(wall), [0, 0, 0.1], 0.5, UP, 15)).toBeUndefined();
  });
});
