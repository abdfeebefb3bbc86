/**
 * The same figures on rendered sets with exact truth, from pixels to directions: keypoints, votes for pairs, verified
 * matches, geometry. Run: npm run build && npx tsc -p test/tsconfig.json &&
 * node build/test/evaluate/around-rendered.js [set name] [folder that keeps keypoints between runs]
 */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { deserialize, serialize } from "node:v8";
import { cleanDemo, type SetOptions } from "#goodgate/demo/options.js";
import { planSet, type SetPlan } from "#goodgate/demo/plan.js";
import { renderPhoto } from "#goodgate/demo/render.js";
import { truthOf } from "#goodgate/demo/truth.js";
import { measureAround } from "#goodgate/measure/around/around.js";
import { bandOf } from "#goodgate/measure/around/bands.js";
import { intrinsicsOf } from "#goodgate/measure/around/intrinsics.js";
import { raysOf } from "#goodgate/measure/around/rays.js";
import { relativePose } from "#goodgate/measure/around/relative-pose.js";
import { voteForPairs } from "#goodgate/measure/around/select-pairs.js";
import {
  farPairs,
  movingMatches,
  stillMatches,
  subjectTurned,
} from "#goodgate/measure/around/turned-subject.js";
import { extractFeatures } from "#goodgate/measure/features/extract.js";
import { rotationAngleDeg } from "#goodgate/measure/geometry/rotation.js";
import { angleDegBetween, multiply, transpose } from "#goodgate/measure/geometry/vector.js";
import { matchDescriptors } from "#goodgate/measure/pair/match.js";
import { verifyMatches } from "#goodgate/measure/pair/verify.js";
import type { Features } from "#goodgate/types.js";
import { percentile, printRows, type Row } from "./table.js";

const base: SetOptions = { ...cleanDemo, widthPx: 1000, heightPx: 750 };
const ringOf = (photos: number, elevationDeg: number) => ({
  elevationDeg,
  photos,
  startDeg: 0,
  spanDeg: 360,
});

const SETS: Readonly<Record<string, SetOptions>> = {
  "two rings": { ...base, seed: 3, naming: "shuffled", portraitShare: 0.3 },
  "hole of 40": {
    ...base,
    seed: 4,
    subject: "toad",
    rings: [ringOf(30, 25)],
    skippedArcs: [{ ring: 0, fromDeg: 95, toDeg: 135 }],
    naming: "shuffled",
  },
  turned: { ...base, seed: 5, walk: "turned", rings: [ringOf(24, 25)] },
  lamp: { ...base, seed: 6, subject: "lamp", rings: [ringOf(24, 20), ringOf(12, 50)] },
};

function featuresOf(plan: SetPlan, name: string, cache: string | undefined): Features[] {
  const path = cache === undefined ? undefined : join(cache, `${name.replaceAll(" ", "-")}.bin`);
  if (path !== undefined && existsSync(path)) return deserialize(readFileSync(path)) as Features[];
  const all = plan.photos.map((_, index) => {
    const { rgb } = renderPhoto(plan, index);
    const data = new Uint8Array(rgb.width * rgb.height);
    for (let i = 0; i < data.length; i++) {
      data[i] = Math.round(
        0.299 * rgb.data[3 * i] + 0.587 * rgb.data[3 * i + 1] + 0.114 * rgb.data[3 * i + 2],
      );
    }
    return extractFeatures({ width: rgb.width, height: rgb.height, data });
  });
  if (path !== undefined && cache !== undefined) {
    mkdirSync(cache, { recursive: true });
    writeFileSync(path, serialize(all));
  }
  return all;
}

const cpu = (): number => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};

function rowsOf(name: string, options: SetOptions, cache: string | undefined): Row[] {
  const plan = planSet(options);
  const truth = truthOf(plan);
  const features = featuresOf(plan, name, cache);
  const rows: Row[] = [];

  const far = farPairs(features.length).map(([i, j]) =>
    stillMatches(features[i], features[j], matchDescriptors(features[i], features[j])),
  );
  const turned = subjectTurned(far) === true;
  rows.push({
    what: `far pairs that vote for a turned subject (of ${far.length})`,
    measured: [far.filter(({ still }) => still).length],
  });
  rows.push({
    what: "turned subject called wrongly",
    measured: [turned === (options.walk === "turned") ? 0 : 1],
    bar: [0],
  });

  let start = cpu();
  const chosen = voteForPairs(features);
  rows.push({ what: "pairs chosen, CPU ms for it", measured: [chosen.length, cpu() - start] });
  start = cpu();
  const pairs = chosen.flatMap(([i, j]) => {
    const all = matchDescriptors(features[i], features[j]);
    const matches = turned ? movingMatches(features[i], features[j], all) : all;
    const { inliers } = verifyMatches(features[i], features[j], matches, 1);
    return inliers.length > 0 ? [{ i, j, inliers, verifiedRatio: inliers.length / matches.length }] : [];
  });
  rows.push({ what: "pairs verified, CPU ms for it", measured: [pairs.length, cpu() - start] });

  // Two views. Turning the subject one way is walking around it the other way: the truth is in the subject's frame.
  const cameras = features.map(({ widthPx, heightPx }) =>
    intrinsicsOf(widthPx, heightPx, options.focalLength35Mm),
  );
  const errors: number[] = [];
  const beyond: number[] = [];
  start = cpu();
  for (const { i, j, inliers } of pairs) {
    const pose = relativePose(
      raysOf(features[i], features[j], inliers, cameras[i], cameras[j]),
      cameras[i].focalPx,
    );
    if (!pose) continue;
    const [a, b] = [truth.photos[i], truth.photos[j]];
    const step = multiply(b.rotation, transpose(a.rotation));
    const error = rotationAngleDeg(pose.candidates[0].rotation, step);
    const toward = (c: readonly number[]) => truth.subjectCentre.map((s, k) => s - c[k]);
    (angleDegBetween(toward(a.cameraCentre), toward(b.cameraCentre)) <= 20 ? errors : beyond).push(error);
  }
  rows.push({ what: "CPU ms a pair for its pose", measured: [(cpu() - start) / pairs.length] });
  rows.push({
    what: `rotation of ${errors.length} pairs up to 20 degrees apart (median/p90/max)`,
    measured: [percentile(errors, 0.5), percentile(errors, 0.9), Math.max(...errors)],
    bar: [0.35, 1.6, 5],
  });
  rows.push({
    what: `beyond (${beyond.length} pairs)`,
    measured: [percentile(beyond, 0.5), percentile(beyond, 0.9), Math.max(...beyond)],
  });

  start = cpu();
  const facts = measureAround(
    features.map((one) => ({ features: one, focalLength35Mm: options.focalLength35Mm })),
    pairs,
    { turnedSubject: turned },
  );
  rows.push({ what: "CPU ms for measureAround, two views included", measured: [cpu() - start] });
  rows.push({
    what: `parts (${facts.parts.map(({ photos }) => photos.length).join(", ")}), focal ${facts.focalSource} x ${facts.focalFactor.toFixed(3)}`,
    measured: [facts.parts.length],
    bar: [1],
  });
  const part = facts.parts[0];
  const azimuths: number[] = [];
  const elevations: number[] = [];
  let bands = 0;
  let right = 0;
  const first = truth.photos[part.cameras[0]?.photo ?? 0].azimuthDeg ?? 0;
  for (const camera of part.cameras) {
    const { azimuthDeg = 0, elevationDeg = 0 } = truth.photos[camera.photo];
    azimuths.push(Math.abs(((camera.azimuthDeg - (azimuthDeg - first) + 900) % 360) - 180));
    elevations.push(Math.abs(camera.elevationDeg - elevationDeg));
    if ([15, 40, 65].some((border) => Math.abs(border - elevationDeg) < 8)) continue;
    bands++;
    if (part.bands.find(({ photos }) => photos.includes(camera.photo))?.name === bandOf(elevationDeg))
      right++;
  }
  rows.push({
    what: "azimuth (median/max)",
    measured: [percentile(azimuths, 0.5), Math.max(...azimuths)],
    bar: [1, 6],
  });
  rows.push({
    what: "elevation (median/max), stated uncertainty of azimuth",
    measured: [
      percentile(elevations, 0.5),
      Math.max(...elevations),
      percentile(
        part.cameras.map((c) => c.uncertaintyDeg),
        0.5,
      ),
    ],
  });
  if (bands > 0) rows.push({ what: "band right", measured: [right / bands], bar: [0.98], atLeast: true });
  for (const band of part.bands) {
    const widest = [...band.steps].sort((p, q) => q.angleDeg - p.angleDeg)[0];
    if (!widest) continue;
    const [from, to] = [widest.fromPhoto, widest.toPhoto].map((photo) => truth.photos[photo].azimuthDeg ?? 0);
    rows.push({
      what: `widest step, ${band.name} (${band.photos.length} photos, closed ${band.closed}): said / true width`,
      measured: [widest.widthDeg, (to - from + 360) % 360],
    });
  }
  rows.push({ what: "confidence", measured: [part.confidence] });
  return rows;
}

const [only, cache] = process.argv.slice(2);
let missed = 0;
for (const [name, options] of Object.entries(SETS)) {
  if (only !== undefined && only !== "all" && only !== name) continue;
  missed += printRows(name, rowsOf(name, options, cache));
}
console.log(`\n${missed} bars missed`);
process.exitCode = missed > 0 ? 1 : 0;
