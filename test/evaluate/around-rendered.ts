/** Rendered sets with exact truth, from pixels to directions: keypoints, votes for pairs, verified matches, geometry. */
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { deserialize, serialize } from "node:v8";
import { cleanDemo, type SetOptions } from "#goodgate/demo/options.js";
import { planSet, type SetPlan } from "#goodgate/demo/plan.js";
import { renderPhoto } from "#goodgate/demo/render.js";
import { type PhotoTruth, type Truth, truthOf } from "#goodgate/demo/truth.js";
import { measureAround } from "#goodgate/measure/coverage/around.js";
import { bandOf } from "#goodgate/measure/coverage/bands.js";
import { coverageOf } from "#goodgate/measure/coverage/coverage.js";
import { directionsAround } from "#goodgate/measure/coverage/directions.js";
import { extractFeatures } from "#goodgate/measure/features/extract.js";
import { rotationAngleDeg } from "#goodgate/measure/geometry/rotation.js";
import { angleDegBetween, multiply, transpose } from "#goodgate/measure/geometry/vector.js";
import { matchDescriptors } from "#goodgate/measure/pair/match.js";
import { verifyMatches } from "#goodgate/measure/pair/verify.js";
import { voteForPairs } from "#goodgate/measure/pairing/select-pairs.js";
import { intrinsicsOf } from "#goodgate/measure/poses/intrinsics.js";
import { raysOf } from "#goodgate/measure/poses/rays.js";
import { relativePose } from "#goodgate/measure/poses/relative-pose.js";
import type { AroundPair } from "#goodgate/measure/poses/solved-set.js";
import { dynamicMatches, staticMatches } from "#goodgate/measure/turntable/static-matches.js";
import { farPairs, subjectTurned } from "#goodgate/measure/turntable/turned-subject.js";
import type { Features } from "#goodgate/types/photo.js";
import { rotationErrors } from "./alignment.js";
import { gapFigures } from "./gaps.js";
import { percentile, type Row, type Section, spread } from "./table.js";

const base: SetOptions = { ...cleanDemo, widthPx: 1000, heightPx: 750, naming: "shuffled" };
const ringOf = (photos: number, elevationDeg: number, spanDeg = 360) => ({
  elevationDeg,
  photos,
  startDeg: 0,
  spanDeg,
});

const SETS: Readonly<Record<string, SetOptions>> = {
  "jug, two rings": { ...base, seed: 3, naming: "shuffled", portraitShare: 0.3 },
  "toad, hole of 40": {
    ...base,
    seed: 4,
    subject: "toad",
    rings: [ringOf(30, 25)],
    skippedArcs: [{ ring: 0, fromDeg: 95, toDeg: 135 }],
  },
  "lamp, rings at 20 and 50": { ...base, seed: 6, subject: "lamp", rings: [ringOf(24, 20), ringOf(12, 50)] },
  "trunk, a third of a ring before a wall": {
    ...base,
    seed: 8,
    subject: "trunk",
    background: "wall",
    rings: [{ ...ringOf(12, 15, 120), startDeg: -60 }],
  },
  "jug, turned": { ...base, seed: 5, walk: "turned", naming: "in order", rings: [ringOf(24, 25)] },
  "toad, turned before a wall": {
    ...base,
    seed: 7,
    subject: "toad",
    background: "wall",
    walk: "turned",
    naming: "in order",
    rings: [ringOf(18, 15)],
  },
};

/** Keypoints of a set, kept between runs under a name that changes with the set. */
function featuresOf(plan: SetPlan, cache: string): Features[] {
  const key = createHash("sha256").update(JSON.stringify(plan.options)).digest("hex").slice(0, 16);
  const path = join(cache, `${key}.bin`);
  if (existsSync(path)) return deserialize(readFileSync(path)) as Features[];
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
  mkdirSync(cache, { recursive: true });
  writeFileSync(path, serialize(all));
  return all;
}

/** What one rendered set gives. */
interface Result {
  readonly turned: boolean;
  readonly calledTurned: boolean;
  readonly votes: readonly [still: number, all: number];
  readonly near: readonly number[];
  readonly beyond: readonly number[];
  readonly rotations: readonly number[];
  readonly azimuths: readonly number[];
  readonly elevations: readonly number[];
  readonly bandsRight: readonly boolean[];
  readonly parts: number;
  readonly gaps: ReturnType<typeof gapFigures>;
}

export function renderedSets(cache: string): Section[] {
  const results = Object.entries(SETS).map(([name, options]) => ({ name, ...measureSet(options, cache) }));
  const walks = results.filter(({ turned }) => !turned);
  const turned = results.filter((result) => result.turned);
  const all = (of: readonly Result[], pick: (result: Result) => readonly number[]) => of.flatMap(pick);
  const ends = (values: readonly number[]) => [percentile(values, 0.5), percentile(values, 1)];
  const near = all(walks, (result) => result.near);
  const sum = (pick: (result: Result) => number) => walks.reduce((total, result) => total + pick(result), 0);
  const right = walks.flatMap(({ bandsRight }) => bandsRight);
  const rows: Row[] = [
    {
      what: `two views up to 20 degrees apart, ${near.length} pairs: median / 90th percentile / largest`,
      measured: spread(near),
      bar: [0.35, 1.6, 5],
    },
    {
      what: "absolute rotation: median / largest",
      measured: ends(all(walks, ({ rotations }) => rotations)),
      bar: [0.3, 1.5],
    },
    {
      what: "azimuth: median / largest",
      measured: ends(all(walks, ({ azimuths }) => azimuths)),
      bar: [1, 6],
    },
    {
      what: "band right",
      measured: [right.filter(Boolean).length / right.length],
      bar: [0.98],
      atLeast: true,
    },
    {
      what: `gaps found between the exact photos (of ${sum(({ gaps }) => gaps.gaps)})`,
      measured: [sum(({ gaps }) => gaps.gapsFound) / sum(({ gaps }) => gaps.gaps)],
      bar: [1],
      atLeast: true,
    },
    {
      what: "their width: largest error",
      measured: [Math.max(...walks.flatMap(({ gaps }) => gaps.widthErrors))],
      bar: [3],
    },
    { what: "gaps that are none", measured: [sum(({ gaps }) => gaps.invented)], bar: [0] },
    {
      what: "turned sets called turned / walks called turned",
      measured: [turned, walks].map((of) => of.filter(({ calledTurned }) => calledTurned).length / of.length),
    },
    {
      what: "sets called wrongly",
      measured: [results.filter((one) => one.turned !== one.calledTurned).length],
      bar: [0],
    },
    {
      what: "turned sets, from the moving matches: absolute rotation median / largest",
      measured: ends(all(turned, ({ rotations }) => rotations)),
      bar: [0.3, 1.5],
    },
    {
      what: "turned sets, azimuth around the axis that the camera aims at: median / largest",
      measured: ends(all(turned, ({ azimuths }) => azimuths)),
      bar: [1, 6],
    },
  ];
  return [
    {
      title: "Rendered sets",
      about:
        "From pixels: keypoints at 1000 x 750 px, pairs by vote, verified matches, geometry. Aim and roll off by 2 degrees, " +
        "shuffled names, some photos turned to portrait.",
      rows,
    },
    {
      title: "Rendered sets, one by one",
      about:
        "Azimuth error median / largest; absolute rotation median / largest; elevation median / largest; two-view rotation " +
        "up to 20 degrees median / largest; beyond, median; far pairs that vote for a turned subject, of all asked; parts.",
      rows: results.map((one) => ({
        what: one.name,
        measured: [
          ...ends(one.azimuths),
          ...ends(one.rotations),
          ...ends(one.elevations),
          ...ends(one.near),
          percentile(one.beyond, 0.5),
          ...one.votes,
          one.parts,
        ],
      })),
    },
  ];
}

function measureSet(options: SetOptions, cache: string): Result {
  const plan = planSet(options);
  const truth = truthOf(plan);
  // Where less than a ring was walked, no more is wanted.
  const spanDeg = Math.max(...options.rings.map((one) => one.spanDeg));
  const features = featuresOf(plan, cache);
  const votes = farPairs(features.length).map(([i, j]) =>
    staticMatches(features[i], features[j], matchDescriptors(features[i], features[j], { anyTurn: true })),
  );
  const turned = subjectTurned(votes) === true;
  const pairs = voteForPairs(features).flatMap(([i, j]): AroundPair[] => {
    const all = matchDescriptors(features[i], features[j], { anyTurn: turned });
    const matches = turned ? dynamicMatches(features[i], features[j], all) : all;
    const { inliers } = verifyMatches(features[i], features[j], matches, 1);
    return inliers.length > 0 ? [{ i, j, inliers, verifiedRatio: inliers.length / matches.length }] : [];
  });
  const facts = measureAround(
    features.map((one) => ({ features: one, focalLength35Mm: options.focalLength35Mm })),
    pairs,
    { turnedSubject: turned, spanDeg },
  );
  const part = facts.parts[0];
  const placed = part.cameras.map(({ photo }) => photo);
  const directions = trueDirections(truth, placed);
  const clear = directions.map(({ elevationDeg: at }) => ![15, 40, 65].some((b) => Math.abs(b - at) < 8));
  const trueSteps = coverageOf(
    directions.map((direction, k) => ({ photo: placed[k], ...direction, uncertaintyDeg: 0 })),
    { spanDeg },
  ).bands.flatMap(({ steps }) => steps);
  return {
    turned: options.walk === "turned",
    calledTurned: turned,
    votes: [votes.filter(({ still }) => still).length, votes.length],
    ...twoViewErrors(features, pairs, truth, options.focalLength35Mm),
    rotations: rotationErrors(
      (part.solution?.cameras ?? []).map(({ rotation }) => rotation),
      placed.map((photo) => truth.photos[photo].rotation),
    ),
    azimuths: part.cameras.map(({ azimuthDeg }, k) =>
      Math.abs(((azimuthDeg - directions[k].azimuthDeg + 540) % 360) - 180),
    ),
    elevations: part.cameras.map(({ elevationDeg }, k) =>
      Math.abs(elevationDeg - directions[k].elevationDeg),
    ),
    bandsRight: part.cameras
      .map(
        ({ photo }, k) =>
          part.bands.find(({ photos }) => photos.includes(photo))?.name ===
          bandOf(directions[k].elevationDeg),
      )
      .filter((_, k) => clear[k]),
    parts: facts.parts.length,
    gaps: gapFigures(
      trueSteps,
      part.bands.flatMap(({ steps }) => steps),
    ),
  };
}

/** Around what the photos aim at: the subject's middle, or the axis it is turned on, which a handle puts off the middle. */
function trueDirections({ photos, subjectCentre, walk }: Truth, which: readonly number[]) {
  const aim = walk === "turned" ? [0, 0, subjectCentre[2]] : subjectCentre;
  return directionsAround(
    which.map((photo) => photos[photo].cameraCentre),
    aim,
    [0, 0, 1],
  );
}

/** Turning the subject one way is walking around it the other way: the truth is in the subject's frame. */
function twoViewErrors(
  features: readonly Features[],
  pairs: readonly AroundPair[],
  truth: Truth,
  focalLength35Mm: number,
): { near: number[]; beyond: number[] } {
  const near: number[] = [];
  const beyond: number[] = [];
  const cameras = features.map(({ widthPx, heightPx }) => intrinsicsOf(widthPx, heightPx, focalLength35Mm));
  const toward = ({ cameraCentre }: PhotoTruth) => truth.subjectCentre.map((s, k) => s - cameraCentre[k]);
  for (const { i, j, inliers } of pairs) {
    const rays = raysOf(features[i], features[j], inliers, cameras[i], cameras[j]);
    const pose = relativePose(rays, cameras[i].focalPx);
    if (!pose) continue;
    const [a, b] = [truth.photos[i], truth.photos[j]];
    const error = rotationAngleDeg(pose.candidates[0].rotation, multiply(b.rotation, transpose(a.rotation)));
    (angleDegBetween(toward(a), toward(b)) <= 20 ? near : beyond).push(error);
  }
  return { near, beyond };
}
