/** Two-view rotation against exact truth: median, 90th percentile and worst error by angle apart. */
import { intrinsicsOf } from "#goodgate/measure/around/intrinsics.js";
import { raysOf } from "#goodgate/measure/around/rays.js";
import { relativePose } from "#goodgate/measure/around/relative-pose.js";
import { rotationAngleDeg } from "#goodgate/measure/geometry/rotation.js";
import {
  cameraAt,
  FOCAL_35_MM,
  HAND_HELD,
  match,
  photograph,
  randomSource,
  scene,
  trueRotation,
} from "../measure/around/synthetic.js";
import { percentile, type Row } from "./table.js";

export function twoViewRows(pairsEach: number, wall: number): Row[] {
  const rows: Row[] = [];
  const all: number[] = [];
  let milliseconds = 0;
  let timed = 0;
  for (const apart of [5, 10, 15, 20, 30]) {
    const errors: number[] = [];
    const lowest: number[] = [];
    for (let seed = 1; seed <= pairsEach; seed++) {
      const random = randomSource(seed * 7919 + apart);
      const points = scene(random, { wall });
      // With a wall the camera faces it, as a hand-held walk along a stage set does.
      const from = wall > 0 ? -30 + 60 * random() : 360 * random();
      const elevation = 10 + 35 * random();
      const [a, b] = [from, from + apart].map((azimuth) =>
        photograph(points, cameraAt(azimuth, elevation, 5, HAND_HELD, random), random),
      );
      const inliers = match(points, a, b, random);
      const camera = intrinsicsOf(a.widthPx, a.heightPx, FOCAL_35_MM);
      const start = process.cpuUsage().user;
      const pose = relativePose(raysOf(a, b, inliers, camera, camera), camera.focalPx);
      milliseconds += (process.cpuUsage().user - start) / 1000;
      timed++;
      if (!pose) continue;
      const truth = trueRotation(a.camera, b.camera);
      errors.push(rotationAngleDeg(pose.candidates[0].rotation, truth));
      lowest.push(Math.min(...pose.candidates.map((c) => rotationAngleDeg(c.rotation, truth))));
    }
    if (apart <= 20) all.push(...errors);
    rows.push({
      what: `rotation, ${apart} degrees apart${wall ? ", flat wall behind" : ""} (median/p90/max; best candidate's max)`,
      measured: [percentile(errors, 0.5), percentile(errors, 0.9), Math.max(...errors), Math.max(...lowest)],
    });
  }
  rows.push({
    what: `rotation, 5 to 20 degrees apart${wall ? ", flat wall behind" : ""} (median/p90/max)`,
    measured: [percentile(all, 0.5), percentile(all, 0.9), Math.max(...all)],
    bar: [0.35, 1.6, 5],
  });
  rows.push({ what: "CPU time a pair, ms", measured: [milliseconds / timed] });
  return rows;
}
