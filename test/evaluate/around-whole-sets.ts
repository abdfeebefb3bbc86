/** Whole sets against exact truth: rotations, directions, bands, gaps, parts. */
import { type AroundMeasures, measureAround } from "#goodgate/measure/coverage/around.js";
import { bandOf } from "#goodgate/measure/coverage/bands.js";
import { coverageOf } from "#goodgate/measure/coverage/coverage.js";
import { ASSUMED_FOCAL_LENGTH_35_MM } from "#goodgate/measure/poses/intrinsics.js";
import {
  FOCAL_35_MM,
  hemisphere,
  type RingOptions,
  randomSource,
  ring,
  type TrueCamera,
} from "../measure/poses/synthetic.js";
import { type SetOptions, shuffled, synthesise, trueDirections } from "../measure/poses/whole-set.js";
import { rotationErrors } from "./alignment.js";
import { type GapFigures, gapFigures } from "./gaps.js";
import { percentile, type Row, type Section } from "./table.js";

type Walk = (random: () => number) => TrueCamera[];

interface Plan {
  readonly what: string;
  readonly walk: Walk;
  readonly set?: SetOptions;
  /** A full ring closes and has no gap. */
  readonly full?: boolean;
  readonly split?: boolean;
  readonly withoutExif?: boolean;
  /** True lens where EXIF states none; TRUE_35_MM unless given. */
  readonly focal35Mm?: number;
  /** How much of the way round is wanted; 360 unless given. */
  readonly spanDeg?: number;
}

const rings =
  (...all: readonly RingOptions[]): Walk =>
  (random) =>
    all.flatMap((options) => ring(options, random));
/** Without the photos meant for these directions. */
const without =
  (walk: Walk, ...holes: readonly (readonly [number, number])[]): Walk =>
  (random) =>
    walk(random).filter(({ azimuthDeg: at }) => !holes.some(([from, to]) => at > from && at < to));

const middle = rings({ photos: 30, elevationDeg: 26 });
/** Every 11.25 degrees; without the two photos in HOLE_OF_34 it leaves 33.75 degrees. */
const ringOf32 = rings({ photos: 32, elevationDeg: 26 });
const HOLE_OF_34 = [95, 118] as const;
const threeHeights: readonly RingOptions[] = [
  { photos: 24, elevationDeg: 5, portraitRatio: 0.2 },
  { photos: 24, elevationDeg: 28, portraitRatio: 0.2 },
  { photos: 16, elevationDeg: 54, portraitRatio: 0.2 },
];

const PLANS: readonly Plan[] = [
  { what: "ring of 30, middle", walk: middle, full: true },
  { what: "ring of 24, low", walk: rings({ photos: 24, elevationDeg: 6 }), full: true },
  { what: "ring of 30, high", walk: rings({ photos: 30, elevationDeg: 52 }), full: true },
  {
    what: "ring of 30, 40 % portrait",
    walk: rings({ photos: 30, elevationDeg: 26, portraitRatio: 0.4 }),
    full: true,
  },
  {
    what: "ring of 30, 40 % on their side",
    walk: rings({ photos: 30, elevationDeg: 26, portraitRatio: 0.4, sidewaysFiles: true }),
    full: true,
  },
  { what: "ring of 30 before a wall", walk: middle, set: { wall: 2500 }, full: true },
  { what: "ring of 30, lens bends the corner by 3 %", walk: middle, set: { k1: -0.06 }, full: true },
  {
    what: "ring of 30 that rises and sinks by 6, plain table",
    walk: rings({ photos: 30, elevationDeg: 27, swayDeg: 6 }),
    set: { table: 0 },
    full: true,
  },
  { what: "three rings", walk: rings(...threeHeights), full: true },
  {
    what: "three rings and 3 from above",
    walk: rings(...threeHeights, { photos: 3, elevationDeg: 80 }),
    full: true,
  },
  {
    what: "hemisphere of 90",
    walk: (random) => hemisphere({ photos: 90, lowestDeg: 3, highestDeg: 80, portraitRatio: 0.3 }, random),
  },
  { what: "quarter of a ring", walk: rings({ photos: 14, elevationDeg: 20, spanDeg: 90 }), spanDeg: 90 },
  { what: "hole of 34, plain table", walk: without(ringOf32, HOLE_OF_34), set: { table: 0 } },
  { what: "hole of 34", walk: without(ringOf32, HOLE_OF_34) },
  { what: "hole of 50", walk: without(rings({ photos: 36, elevationDeg: 30 }), [205, 245]) },
  { what: "hole of 42 in a low ring", walk: without(rings({ photos: 26, elevationDeg: 6 }), [20, 50]) },
  { what: "two holes of 34", walk: without(ringOf32, HOLE_OF_34, [207, 230]) },
  {
    what: "hole of 45 in two rings of three",
    walk: (random) => [
      ...without(rings(threeHeights[0], threeHeights[1]), [70, 100])(random),
      ...ring(threeHeights[2], random),
    ],
  },
  {
    what: "two holes of 80 split it",
    walk: without(rings({ photos: 40, elevationDeg: 26 }), [60, 140], [230, 310]),
    split: true,
  },
  {
    what: "hole of 34, EXIF focal 10 % long",
    walk: without(ringOf32, HOLE_OF_34),
    set: { focalFactor: 1.1 },
  },
  {
    what: "hole of 34, EXIF focal 10 % short",
    walk: without(ringOf32, HOLE_OF_34),
    set: { focalFactor: 0.9 },
  },
  {
    what: "hole of 34, EXIF focal 10 % long, plain table",
    walk: without(ringOf32, HOLE_OF_34),
    set: { focalFactor: 1.1, table: 0 },
  },
  { what: "hole of 34, no EXIF, true focal 31 mm", walk: without(ringOf32, HOLE_OF_34), withoutExif: true },
];

interface Outcome extends GapFigures {
  readonly rotations: readonly number[];
  readonly azimuths: readonly number[];
  readonly elevations: readonly number[];
  readonly withinTwice: readonly boolean[];
  readonly bandsRight: readonly boolean[];
  readonly inParts: boolean;
  readonly closed: boolean;
  readonly confidence: number;
  readonly focal: AroundMeasures["focalSource"];
  readonly focal35Mm: number;
}

/**
 * One table of figures over all walks, and one with a line a walk.
 *
 * @param only the walks whose name holds one of these words; all where left out.
 */
export function wholeSets(seeds: number, only?: readonly string[]): Section[] {
  const plans = PLANS.filter(({ what }) => only === undefined || only.some((word) => what.includes(word)));
  const results = plans.map((plan) => ({
    plan,
    outcomes: Array.from({ length: seeds }, (_, k) => runPlan(plan, k + 1)),
  }));
  const sets = results.reduce((sum, { outcomes }) => sum + outcomes.length, 0);
  const isPlain = ({ plan }: { plan: Plan }) => plan.set?.table === 0;
  const plain = results.filter(isPlain);
  return [
    {
      title: "Whole sets",
      about:
        `${sets - plain.length * seeds} sets of point clouds, ${seeds} seeds each of the walks below: 14 to 90 photos, shuffled, aim off by 2.5 ` +
        "degrees, roll by 3, place by 1.5, distance by 6 % (standard deviations). The subject's centre is where the " +
        "photos aim: with 30 photos that alone leaves a standard error of .65 degree, twice, since azimuths are counted " +
        "from the first photo. A gap counts as found when a step of 22 degrees or more lies between its two photos. " +
        "A confidence counts as lower when it is under the median of the sets with the right focal length by .1.",
      rows: summary(results.filter((result) => !isPlain(result))),
    },
    ...(plain.length === 0
      ? []
      : [
          {
            title: "Whole sets on a plain table",
            about:
              `${plain.length * seeds} sets of which nothing but the subject can be matched, a third of the picture's width: ` +
              "the narrower the view, the more a turn of the camera looks like a step.",
            rows: summary(plain),
          },
        ]),
    {
      title: "Whole sets, one by one",
      about:
        "Azimuth error median / largest; absolute rotation error median / largest; elevation error median / largest; " +
        "share of azimuths within twice their stated uncertainty; share of sets whose own median azimuth error is over 1.",
      rows: results.map(({ plan, outcomes }) => ({
        what: plan.what,
        measured: planFigures(outcomes),
        bar: [1, 6, 0.3, 1.5],
      })),
    },
  ];
}

const LENSES_35_MM = [24, 28, 35, 50, 80, 105, 135];
/** Subjects fill half of the picture's width, from as far away as the lens asks. */
const distanceOf = (focal35Mm: number): number => (5 / 1.6) * (focal35Mm / FOCAL_35_MM);

/** Sets without EXIF, lens by lens: full rings and rings with a hole, on a textured and on a plain table. */
export function lenses(seeds: number): Section {
  const rows = LENSES_35_MM.flatMap((focal35Mm) =>
    [undefined, 0].map((table): Row => {
      const walk = rings({ photos: 36, elevationDeg: 24, distance: distanceOf(focal35Mm) });
      const own = { withoutExif: true, focal35Mm, set: table === undefined ? {} : { table } };
      const what = `${focal35Mm} mm${table === 0 ? ", plain table" : ""}`;
      const outcomes = [
        { ...own, what, walk: without(walk, [100, 128]) },
        { ...own, what, walk, full: true },
      ].flatMap((plan) => Array.from({ length: seeds }, (_, k) => runPlan(plan, k + 1)));
      const measured = outcomes.filter(({ focal }) => focal === "measured");
      return {
        what,
        measured: [
          measured.length / outcomes.length,
          Math.max(...measured.map((one) => Math.abs(Math.log(one.focal35Mm / focal35Mm)))),
          Math.max(...outcomes.flatMap(({ widthErrors }) => widthErrors)),
          outcomes.reduce((sum, { invented }) => sum + invented, 0),
          shareOf(outcomes.flatMap(({ bandsRight }) => bandsRight)),
        ],
      };
    }),
  );
  return {
    title: "Whole sets without EXIF, by lens",
    about:
      `${2 * seeds} sets a line, half of them full rings of 36, half of them with a hole of some 35 degrees: share whose focal ` +
      "length was measured; largest error of its logarithm; largest error of a gap's width, degrees; steps said to be gaps " +
      "that are none; share of cameras in the right band. The longer the lens, the more perspective drowns in the noise " +
      "of half a pixel: a subject alone, on a plain table, is the hardest.",
    rows,
  };
}

function planFigures(outcomes: readonly Outcome[]): number[] {
  const of = (pick: (outcome: Outcome) => readonly number[]): number[] => {
    const all = outcomes.flatMap(pick);
    return [percentile(all, 0.5), percentile(all, 1)];
  };
  return [
    ...of(({ azimuths }) => azimuths),
    ...of(({ rotations }) => rotations),
    ...of(({ elevations }) => elevations),
    shareOf(outcomes.flatMap(({ withinTwice }) => withinTwice)),
    shareOf(outcomes.map(({ azimuths }) => percentile(azimuths, 0.5) > 1)),
  ];
}

function shareOf(flags: readonly boolean[]): number {
  return flags.filter(Boolean).length / flags.length;
}

function summary(results: readonly { plan: Plan; outcomes: readonly Outcome[] }[]): Row[] {
  const pick = (wanted: (plan: Plan) => boolean): Outcome[] =>
    results.filter(({ plan }) => wanted(plan)).flatMap(({ outcomes }) => outcomes);
  const all = pick(() => true);
  const rotations = all.flatMap((outcome) => outcome.rotations);
  const azimuths = all.flatMap((outcome) => outcome.azimuths);
  const share = (hits: number, of: number): number => (of === 0 ? Number.NaN : hits / of);
  const sum = (one: (outcome: Outcome) => number): number =>
    all.reduce((total, outcome) => total + one(outcome), 0);
  const wrong = pick(({ set }) => set?.focalFactor !== undefined);
  const right = pick(({ set }) => set?.focalFactor === undefined);
  const known = percentile(
    right.map(({ confidence }) => confidence),
    0.5,
  );
  const rows: Row[] = [
    {
      what: "absolute rotation, degrees: median / largest",
      measured: [percentile(rotations, 0.5), percentile(rotations, 1)],
      bar: [0.3, 1.5],
    },
    {
      what: "azimuth, degrees: median / largest",
      measured: [percentile(azimuths, 0.5), percentile(azimuths, 1)],
      bar: [1, 6],
    },
    {
      what: "band right, of cameras over 8 degrees from a border",
      measured: [shareOf(all.flatMap(({ bandsRight }) => bandsRight))],
      bar: [0.98],
      atLeast: true,
    },
    {
      what: `gaps of 25 degrees and more found between the exact photos (of ${sum(({ gaps }) => gaps)})`,
      measured: [
        share(
          sum(({ gapsFound }) => gapsFound),
          sum(({ gaps }) => gaps),
        ),
      ],
      bar: [1],
      atLeast: true,
    },
    {
      what: "their width, degrees: largest error",
      measured: [
        percentile(
          all.flatMap(({ widthErrors }) => widthErrors),
          1,
        ),
      ],
      bar: [3],
    },
    {
      what: "their width: share within twice its stated standard error, and that standard error's median, degrees",
      measured: [
        shareOf(all.flatMap(({ withinTwiceStated }) => withinTwiceStated)),
        percentile(
          all.flatMap(({ statedDeg }) => statedDeg),
          0.5,
        ),
      ],
      bar: [0.95],
      atLeast: true,
    },
    {
      what: "gaps on full rings",
      measured: [pick(({ full }) => full === true).reduce((total, one) => total + one.invented, 0)],
      bar: [0],
    },
    { what: "gaps elsewhere that are none", measured: [sum(({ invented }) => invented)], bar: [0] },
    {
      what: "full rings reported closed",
      measured: [shareOf(pick(({ full }) => full === true).map(({ closed }) => closed))],
      bar: [1],
      atLeast: true,
    },
    {
      what: "sets split in two declared split",
      measured: [shareOf(pick(({ split }) => split === true).map(({ inParts }) => inParts))],
      bar: [1],
      atLeast: true,
    },
    {
      what: "other sets in one part",
      measured: [shareOf(pick(({ split }) => split !== true).map(({ inParts }) => inParts))],
      bar: [1],
      atLeast: true,
    },
    {
      what: "EXIF focal 10 % wrong: corrected, or confidence lower",
      measured: [
        shareOf(wrong.map(({ focal, confidence }) => focal === "measured" || confidence < known - 0.1)),
      ],
      bar: [1],
      atLeast: true,
    },
    {
      what: "EXIF focal 10 % wrong: holes of 34 found",
      measured: [
        share(
          wrong.reduce((total, { gapsFound }) => total + gapsFound, 0),
          wrong.reduce((total, { gaps }) => total + gaps, 0),
        ),
      ],
      bar: [1],
      atLeast: true,
    },
  ];
  return rows.filter(({ measured }) => !measured.every(Number.isNaN));
}

/** Difference of two azimuths, degrees in [-180, 180). */
const off = (p: number, q: number): number => ((p - q + 540) % 360) - 180;
const TRUE_35_MM = 31;

function runPlan(plan: Plan, seed: number): Outcome {
  const random = randomSource(seed * 104729);
  const cameras = shuffled(plan.walk(random), random);
  const focal35Mm = plan.withoutExif ? (plan.focal35Mm ?? TRUE_35_MM) : undefined;
  const set = synthesise(cameras, seed * 31 + 5, { ...plan.set, ...(focal35Mm && { focal35Mm }) });
  const photos = plan.withoutExif ? set.photos.map(({ features }) => ({ features })) : set.photos;
  const wanted = { spanDeg: plan.spanDeg ?? 360 };
  const facts = measureAround(photos, set.pairs, wanted);
  const parts = facts.parts.filter(({ solution }) => solution !== undefined);
  const measured = parts.map((part) => {
    const placed = part.cameras.map(({ photo }) => photo);
    const truth = trueDirections(cameras, placed);
    const trueSteps = coverageOf(
      truth.map((direction, k) => ({ photo: placed[k], ...direction, uncertaintyDeg: 0 })),
      wanted,
    ).bands.flatMap(({ steps }) => steps);
    const errors = part.cameras.map((camera, k) => Math.abs(off(camera.azimuthDeg, truth[k].azimuthDeg)));
    // Straight above there is no azimuth.
    const level = truth.map(({ elevationDeg }) => elevationDeg < 65);
    const clear = truth.map(({ elevationDeg: at }) => ![15, 40, 65].some((b) => Math.abs(b - at) < 8));
    return {
      rotations: rotationErrors(
        (part.solution?.cameras ?? []).map(({ rotation }) => rotation),
        placed.map((photo) => cameras[photo].rotation),
      ),
      azimuths: errors.filter((_, k) => level[k]),
      elevations: part.cameras.map((c, k) => Math.abs(c.elevationDeg - truth[k].elevationDeg)),
      withinTwice: errors
        .map((error, k) => error <= 2 * part.cameras[k].uncertaintyDeg)
        .filter((_, k) => level[k]),
      bandsRight: part.cameras
        .filter((_, k) => clear[k])
        .map(
          ({ photo }) =>
            part.bands.find(({ photos: own }) => own.includes(photo))?.name ===
            bandOf(truth[placed.indexOf(photo)].elevationDeg),
        ),
      steps: part.bands.flatMap(({ steps }) => steps),
      trueSteps,
      closed: part.closed,
      confidence: part.confidence,
    };
  });
  // Across a split there is no width to find.
  const compared = plan.split ? [] : measured;
  return {
    rotations: measured.flatMap(({ rotations }) => rotations),
    azimuths: measured.flatMap(({ azimuths }) => azimuths),
    elevations: measured.flatMap(({ elevations }) => elevations),
    withinTwice: measured.flatMap(({ withinTwice }) => withinTwice),
    bandsRight: measured.flatMap(({ bandsRight }) => bandsRight),
    inParts: facts.parts.length === (plan.split ? 2 : 1) && parts.length === facts.parts.length,
    closed: measured.length > 0 && measured.every(({ closed }) => closed),
    confidence: Math.min(...measured.map(({ confidence }) => confidence)),
    focal: facts.focalSource,
    focal35Mm: facts.focalFactor * ASSUMED_FOCAL_LENGTH_35_MM,
    ...gapFigures(
      compared.flatMap(({ trueSteps }) => trueSteps),
      compared.flatMap(({ steps }) => steps),
    ),
  };
}
