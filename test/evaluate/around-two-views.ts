/** Two-view rotation against exact truth, and standing still against stepping. */

import { rotationAngleDeg, rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { multiply } from "#goodgate/measure/geometry/vector.js";
import { intrinsicsOf } from "#goodgate/measure/poses/intrinsics.js";
import { raysOf } from "#goodgate/measure/poses/rays.js";
import { type RelativePose, relativePose } from "#goodgate/measure/poses/relative-pose.js";
import {
  cameraAt,
  FOCAL_35_MM,
  HAND_HELD,
  match,
  photograph,
  randomSource,
  type ScenePoint,
  scene,
  type TrueCamera,
  trueRotation,
} from "../measure/poses/synthetic.js";
import { type Row, type Section, spread } from "./table.js";

const ROTATION_BAR = [0.35, 1.6, 5];

function poseBetween(
  points: readonly ScenePoint[],
  a: TrueCamera,
  b: TrueCamera,
  random: () => number,
): RelativePose | undefined {
  const [one, other] = [a, b].map((camera) => photograph(points, camera, random));
  const [cameraA, cameraB] = [one, other].map((p) => intrinsicsOf(p.widthPx, p.heightPx, FOCAL_35_MM));
  const inliers = match(points, one, other, random);
  return relativePose(raysOf(one, other, inliers, cameraA, cameraB), cameraA.focalPx);
}

export function twoViews(pairsEach: number): Section {
  const rows = [0, 2500].flatMap((wall) => rotationRows(pairsEach, wall));
  return {
    title: "Two views",
    about:
      "Rotation error in degrees, median / 90th percentile / largest, on point clouds of a lump with relief on a table, " +
      "half a pixel of noise, 8 % wrong matches, aim and roll of a hand. Candidates: the best of those kept.",
    rows,
  };
}

function rotationRows(pairsEach: number, wall: number): Row[] {
  const before = wall ? ", flat textured wall behind" : "";
  const upTo20: number[] = [];
  const rows = [5, 10, 15, 20, 30].flatMap((apart): Row[] => {
    const errors: number[] = [];
    const best: number[] = [];
    for (let seed = 1; seed <= pairsEach; seed++) {
      const random = randomSource(seed * 7919 + apart);
      const points = scene(random, { wall });
      // With a wall the camera faces it, as a hand-held walk along a stage set does.
      const from = wall > 0 ? -30 + 60 * random() : 360 * random();
      const elevation = 10 + 35 * random();
      const [a, b] = [from, from + apart].map((azimuth) =>
        cameraAt(azimuth, elevation, 5, HAND_HELD, random),
      );
      const pose = poseBetween(points, a, b, random);
      if (!pose) continue;
      const truth = trueRotation(a, b);
      errors.push(rotationAngleDeg(pose.candidates[0].rotation, truth));
      best.push(Math.min(...pose.candidates.map((c) => rotationAngleDeg(c.rotation, truth))));
    }
    if (apart <= 20) upTo20.push(...errors);
    return [
      { what: `${apart} degrees apart${before}`, measured: spread(errors) },
      { what: `${apart} degrees apart${before}, candidates`, measured: spread(best) },
    ];
  });
  return [
    ...rows,
    { what: `**5 to 20 degrees apart${before}**`, measured: spread(upTo20), bar: ROTATION_BAR },
  ];
}

/** Standing still and panning, and small steps, before far background and near. */
export function standingStill(pairsEach: number): Section {
  const rows = [1500, 0].flatMap((wall): Row[] => {
    const where = wall ? "wall behind" : "subject and table only";
    const still = kinds(pairsEach, (random) => {
      const a = cameraAt(360 * random(), 10 + 30 * random(), 5, HAND_HELD, random);
      // A pan of 2 to 20 degrees, with the nod and roll of a hand.
      const pan = ((2 + 18 * random()) * Math.PI) / 180;
      const turn = rotationFromAxisAngle([0.05 * (random() - 0.5), pan, 0.05 * (random() - 0.5)]);
      return [a, { ...a, rotation: multiply(turn, a.rotation) }, wall];
    });
    const step = [3, 10, 25].map((apart) =>
      kinds(pairsEach, (random) => {
        const from = wall > 0 ? -30 + 60 * random() : 360 * random();
        const elevation = 10 + 30 * random();
        const [a, b] = [from, from + apart].map((azimuth) =>
          cameraAt(azimuth, elevation, 5, { ...HAND_HELD, placeDeg: 0 }, random),
        );
        return [a, b, wall];
      }),
    );
    return [
      {
        what: `standing still called so, ${where}`,
        measured: [still.still],
        bar: [0.98],
        atLeast: true,
      },
      {
        what: `steps of 3 / 10 / 25 degrees called standing still, ${where}`,
        measured: step.map((one) => one.still),
        bar: [0.02, 0, 0],
      },
    ];
  });
  return {
    title: "Standing still and panning",
    about: "Share of pairs whose camera is said to have turned in place (bars are our own).",
    rows,
  };
}

function kinds(
  pairs: number,
  make: (random: () => number) => readonly [TrueCamera, TrueCamera, number],
): { still: number } {
  let still = 0;
  let all = 0;
  for (let seed = 1; seed <= pairs; seed++) {
    const random = randomSource(seed * 6421 + 17);
    const [a, b, wall] = make(random);
    const pose = poseBetween(scene(random, { wall }), a, b, random);
    if (!pose) continue;
    all++;
    if (pose.kind === "pure-rotation") still++;
  }
  return { still: still / all };
}
