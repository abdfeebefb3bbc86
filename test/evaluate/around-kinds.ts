/** Kinds of subjects and sets on which directions once were wrong and sure of it, by seeds: keypoints with descriptors. */
import { measureAround } from "#goodgate/measure/coverage/around.js";
import { vectorOf } from "#goodgate/measure/coverage/directions.js";
import { matchDescriptors } from "#goodgate/measure/pair/match.js";
import { measurePair } from "#goodgate/measure/pair/pair.js";
import { linkPhotos } from "#goodgate/measure/pairing/link.js";
import { voteForPairs } from "#goodgate/measure/pairing/select-pairs.js";
import { type AroundPair, pairPose } from "#goodgate/measure/poses/solved-set.js";
import { dynamicMatches, staticMatches } from "#goodgate/measure/turntable/static-matches.js";
import { farPairs, subjectTurned } from "#goodgate/measure/turntable/turned-subject.js";
import {
  cameraAt,
  gaussian,
  randomSource,
  ring,
  STEADY,
  type TrueCamera,
} from "../measure/poses/synthetic.js";
import { directionErrors } from "./captures/fit.js";
import { can, room, type SetPhoto, type ShootOptions, type Spot, shoot, table } from "./keypoint-sets.js";
import { percentile, type Row, type Section } from "./table.js";

export interface Plan {
  readonly what: string;
  readonly spots: (random: () => number) => Spot[];
  readonly cameras: (random: () => number) => TrueCamera[];
  readonly shoot?: (random: () => number) => ShootOptions;
  readonly turned?: boolean;
  /** Whether photos tell the directions, so that "cannot tell" is a miss. */
  readonly tellable?: boolean;
}

interface Topic {
  readonly title: string;
  readonly about: string;
  readonly plans: readonly Plan[];
}

const walk =
  (photos: number, elevationDeg = 22) =>
  (random: () => number) =>
    ring({ photos, elevationDeg }, random);
/** A camera at rest before a subject that is turned, by even steps or by hand. */
const still = (photos: number) => (random: () => number) =>
  Array.from({ length: photos }, () => cameraAt(0, 22, 5, STEADY, random));
const byHand =
  (photos: number, unevenDeg: number) =>
  (random: () => number): ShootOptions => {
    const turns = Array.from({ length: photos }, (_, k) => (360 * k) / photos + unevenDeg * gaussian(random));
    return { turnDeg: (k) => turns[k] };
  };
const label =
  (copies: number, tableSpots: number, square = false) =>
  (random: () => number) => [
    ...can(random, { spots: 1600, copies, square }),
    ...table(random, tableSpots, 1_000_000),
  ];

export const TOPICS: readonly Topic[] = [
  {
    title: "Turned before a still, detailed room",
    about: "36 photos of a subject turned before a camera at rest, its room as rich as the subject.",
    plans: [
      {
        what: "even steps, cropped by 80 px",
        spots: (random) => [
          ...can(random, { spots: 1600, copies: 1 }),
          ...table(random, 200, 1_000_000, true),
          ...room(random, 800, 2_000_000),
        ],
        cameras: still(36),
        shoot: (random) => ({ ...byHand(36, 0)(random), cropPx: 80 }),
        turned: true,
        tellable: true,
      },
      {
        what: "turned by hand, steps uneven by 3 degrees",
        spots: (random) => [...can(random, { spots: 1600, copies: 1 }), ...room(random, 800, 2_000_000)],
        cameras: still(36),
        shoot: byHand(36, 3),
        turned: true,
        tellable: true,
      },
      {
        what: "a fold of the cloth alone stays still",
        spots: (random) => [...can(random, { spots: 1600, copies: 1 }), ...room(random, 40, 2_000_000)],
        cameras: still(36),
        shoot: byHand(36, 2),
        turned: true,
        tellable: true,
      },
    ],
  },
  {
    title: "The same print on several sides",
    about: "36 photos of a can or carton that shows the same print two, three or four times around.",
    plans: [
      { what: "can, print twice, textured table", spots: label(2, 500), cameras: walk(36), tellable: true },
      {
        what: "can, print three times, textured table",
        spots: label(3, 500),
        cameras: walk(36),
        tellable: true,
      },
      {
        what: "carton, four sides alike, textured table",
        spots: label(4, 500, true),
        cameras: walk(36),
        tellable: true,
      },
      {
        what: "vase of eight alike, textured table",
        spots: label(8, 500),
        cameras: walk(36),
        tellable: true,
      },
      { what: "can, print twice, plain table", spots: label(2, 0), cameras: walk(36) },
      { what: "can, print three times, plain table", spots: label(3, 0), cameras: walk(36) },
      { what: "carton, four sides alike, plain table", spots: label(4, 0, true), cameras: walk(36) },
      { what: "vase of eight alike, plain table", spots: label(8, 0), cameras: walk(36) },
      {
        what: "can, half of the print twice, plain table",
        spots: (random) => can(random, { spots: 1600, copies: 2, repeatedRatio: 0.5 }),
        cameras: walk(36),
        tellable: true,
      },
    ],
  },
  {
    title: "Plain subjects",
    about: "72 photos before black, few spots that are found poorly; and one that is found well.",
    plans: [
      {
        what: "smooth, hardly a spot",
        spots: (random) => can(random, { spots: 220, copies: 1 }),
        cameras: walk(72),
        shoot: () => ({ foundRatio: 0.35, noisePx: 0.8, change: 3.5 }),
      },
      {
        what: "smooth, some spots",
        spots: (random) => can(random, { spots: 450, copies: 1 }),
        cameras: walk(72),
        shoot: () => ({ foundRatio: 0.45, noisePx: 0.8, change: 3 }),
        tellable: true,
      },
    ],
  },
  {
    title: "More than 120 photos",
    about: "Three rings of 60.",
    plans: [
      {
        what: "three rings of 60",
        spots: (random) => [...can(random, { spots: 1200, copies: 1 }), ...table(random, 300, 1_000_000)],
        cameras: (random) =>
          [5, 25, 45].flatMap((elevationDeg) => ring({ photos: 60, elevationDeg }, random)),
        tellable: true,
      },
    ],
  },
  {
    title: "EXIF that does not fit the pixels",
    about: "36 photos whose EXIF states another focal length than the pixels have.",
    plans: [1 / 2, 1 / 1.5, 1 / 1.25, 1.25].map((statedFactor) => ({
      what: `states ${statedFactor.toFixed(2)} of the true one`,
      spots: (random) => [...can(random, { spots: 1200, copies: 1 }), ...table(random, 300, 1_000_000)],
      cameras: walk(36),
      shoot: () => ({ statedFactor }),
      tellable: true,
    })),
  },
];

interface Outcome {
  readonly placedRatio: number;
  readonly errors: readonly number[];
  readonly stated: readonly number[];
  readonly confidence: number;
  readonly turned: boolean | undefined;
  readonly focal: string;
  readonly widestHoleDeg: number;
}

/** Under this confidence nothing is said of directions: the limit of the checks that speak of them. */
const SPOKEN_OF = 0.3;

/** The largest part's directions against the truth. */
export async function runKind(plan: Plan, seed: number): Promise<Outcome> {
  const random = randomSource(seed * 6007 + 3);
  const cameras = plan.cameras(random);
  const photos = shoot(plan.spots(random), cameras, seed, plan.shoot?.(random));
  const { pairs, turned } = await pairsOf(photos);
  const around = measureAround(photos, pairs, { spanDeg: 360, turnedSubject: turned });
  const part = around.parts.find((one) => one.cameras.length > 0);
  const placed = part?.cameras ?? [];
  const found = placed.map(vectorOf);
  return {
    placedRatio: placed.length / photos.length,
    errors:
      placed.length < 3
        ? []
        : directionErrors(
            found,
            placed.map(({ photo }) => photos[photo].direction),
          ),
    stated: placed.map(({ uncertaintyDeg }) => uncertaintyDeg),
    confidence: part?.confidence ?? 0,
    turned,
    focal: around.focalSource,
    widestHoleDeg: Math.max(
      0,
      ...(part?.bands ?? []).flatMap(({ steps }) => steps.map(({ angleDeg }) => angleDeg)),
    ),
  };
}

export async function pairsOf(
  photos: readonly SetPhoto[],
): Promise<{ pairs: AroundPair[]; turned: boolean | undefined }> {
  const votes = farPairs(photos.length).map(([i, j]) => {
    const [a, b] = [photos[i].features, photos[j].features];
    return staticMatches(a, b, matchDescriptors(a, b, { anyTurn: true }));
  });
  const turned = subjectTurned(votes);
  const alike = voteForPairs(photos.map(({ features }) => features));
  const linking = await linkPhotos(
    photos.length,
    Promise.resolve(alike),
    async (candidates) =>
      candidates.map(({ a, b }) => {
        const [p, q] = [photos[a], photos[b]];
        const pick = turned ? dynamicMatches : undefined;
        const { facts, inliers } = measurePair(p.features, q.features, 31 * a + b, pick);
        return { facts, inliers, pose: pairPose(p, q, inliers, facts.verifiedRatio) };
      }),
    ({ facts }) => facts.verifiedMatches > 0,
  );
  const pairs = linking.compared.map(({ a, b, result: { facts, inliers, pose } }) => ({
    i: a,
    j: b,
    inliers,
    verifiedRatio: facts.verifiedRatio,
    ...(pose && { pose }),
  }));
  return { pairs, turned };
}

/** A section a topic. */
export async function kinds(seeds: number, only?: string): Promise<Section[]> {
  const sections: Section[] = [];
  for (const topic of TOPICS) {
    const rows: Row[] = [];
    for (const plan of topic.plans) {
      if (only !== undefined && !`${topic.title} ${plan.what}`.includes(only)) continue;
      const outcomes: Outcome[] = [];
      for (let seed = 1; seed <= seeds; seed++) outcomes.push(await runKind(plan, seed));
      rows.push(...rowsOf(plan, outcomes));
    }
    if (rows.length > 0)
      sections.push({ title: topic.title, about: `${topic.about} ${seeds} seeds a line.`, rows });
  }
  return sections;
}

function rowsOf({ what, tellable = false, turned = false }: Plan, outcomes: readonly Outcome[]): Row[] {
  const told = outcomes.filter(({ confidence }) => confidence >= SPOKEN_OF);
  const errors = told.flatMap((outcome) => outcome.errors);
  const stated = told.flatMap((outcome) => outcome.stated);
  const share = (flags: readonly boolean[]) => flags.filter(Boolean).length / flags.length;
  const rows: Row[] = [
    {
      what: `${what}: sets whose directions are told, photos placed in these`,
      measured: [told.length / outcomes.length, share(told.flatMap(placedFlags))],
      ...(tellable && { bar: [0.97, 0.95], atLeast: true }),
    },
    {
      what: `... median and largest error; median stated`,
      measured: [percentile(errors, 0.5), percentile(errors, 1), percentile(stated, 0.5)],
    },
    {
      what: `... photos more than 10 degrees off and outside twice their uncertainty`,
      measured: [errors.filter((error, k) => error > 10 && error > 2 * stated[k]).length],
      bar: [0],
    },
    {
      what: `... share within twice the stated uncertainty`,
      measured: [share(errors.map((error, k) => error <= 2 * stated[k]))],
      ...(errors.length > 0 && { bar: [0.95], atLeast: true }),
    },
    {
      what: `... widest step found, degrees (true ones are under 20); called turned`,
      measured: [
        Math.max(0, ...told.map(({ widestHoleDeg }) => widestHoleDeg)),
        share(outcomes.map((one) => one.turned === true)),
      ],
      bar: [25, turned ? 1 : 0],
    },
  ];
  return rows;
}

function placedFlags({ placedRatio }: Outcome): boolean[] {
  return Array.from({ length: 100 }, (_, k) => k < 100 * placedRatio);
}
