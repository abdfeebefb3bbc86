/** Sets of directions with arcs taken out, judged by every check of missing views. */
import { bandGap } from "#goodgate/checks/band-gap.js";
import type { Check } from "#goodgate/checks/define.js";
import { gap } from "#goodgate/checks/gap.js";
import { openRing } from "#goodgate/checks/open-ring.js";
import { wideRing } from "#goodgate/checks/wide-ring.js";
import { angleBetweenDirections, wrap360 } from "#goodgate/measure/coverage/directions.js";
import { gaussian, randomSource } from "../measure/poses/synthetic.js";
import { factsAround, type Stand } from "../support/around.js";
import type { Row, Section } from "./table.js";

const CHECKS = [gap, openRing, wideRing, bandGap] as readonly Check[];
/** Wide enough to be asked for by name. */
const NAMED_FROM_DEG = 30;
/** Steps up to here match, so what is narrower is no gap. */
const NO_GAP_DEG = 25;

interface Arc {
  readonly fromDeg: number;
  readonly widthDeg: number;
}

interface Height {
  readonly elevationDeg: number;
  readonly stepDeg: number;
  /** Taken out. */
  readonly arcs?: readonly Arc[];
  /** The walk rises and sinks once on its way round. */
  readonly swayDeg?: number;
}

interface Kind {
  readonly what: string;
  /** Heights of a set, and whatever else was taken. */
  readonly plan: (random: () => number) => { heights: readonly Height[]; more?: readonly Stand[] };
}

const pick = (random: () => number, from: number, to: number): number => from + (to - from) * random();
const arc = (random: () => number, least = 35, most = 130): Arc => ({
  fromDeg: 360 * random(),
  widthDeg: pick(random, least, most),
});
const one = (random: () => number, elevationDeg: number, arcs: readonly Arc[] = []): Height => ({
  elevationDeg,
  stepDeg: pick(random, 8, 15),
  swayDeg: pick(random, 0, 6),
  arcs,
});

const KINDS: readonly Kind[] = [
  {
    what: "a full ring, from level to 60 degrees",
    plan: (random) => ({ heights: [one(random, pick(random, -5, 60))] }),
  },
  {
    what: "three full rings",
    plan: (random) => ({ heights: [5, 28, 52].map((at) => one(random, at + pick(random, -3, 3))) }),
  },
  {
    what: "a full ring that rises and sinks by 15 degrees",
    plan: (random) => ({ heights: [{ elevationDeg: pick(random, 20, 45), stepDeg: 11, swayDeg: 15 }] }),
  },
  {
    what: "a hemisphere of 60 to 120, no rings",
    plan: (random) => ({ heights: [], more: hemisphere(Math.round(pick(random, 60, 120)), random) }),
  },
  {
    what: "a full ring and 3 to 9 photos at another height",
    plan: (random) => ({ heights: [one(random, 8)], more: some(random, 36, 3 + Math.floor(7 * random())) }),
  },
  {
    what: "a full ring and 2 to 8 near the pole",
    plan: (random) => ({ heights: [one(random, 30)], more: some(random, 83, 2 + Math.floor(7 * random())) }),
  },
  {
    what: "a full ring and a round of the subject laid on its side",
    plan: (random) => ({ heights: [one(random, 25)], more: onItsSide(random) }),
  },
  {
    what: "an arc of one of three rings, looked at from another height",
    plan: (random) => ({
      heights: [5, 25, 45].map((at, k) => ({
        ...one(random, at, k === 0 ? [arc(random, 35, 90)] : []),
        swayDeg: 1,
      })),
    }),
  },
  {
    what: "an arc of a ring, from level to 60 degrees",
    plan: (random) => ({ heights: [one(random, pick(random, -5, 60), [arc(random)])] }),
  },
  {
    what: "two arcs of a ring",
    plan: (random) => {
      const first = arc(random, 35, 80);
      const second = {
        fromDeg: wrap360(first.fromDeg + pick(random, 130, 200)),
        widthDeg: pick(random, 35, 80),
      };
      return { heights: [one(random, pick(random, 0, 40), [first, second])] };
    },
  },
  {
    what: "one arc of all of three rings",
    plan: (random) => {
      const same = arc(random, 35, 110);
      return { heights: [5, 28, 52].map((at) => one(random, at, [same])) };
    },
  },
  {
    what: "an arc of one of two rings 33 degrees apart",
    plan: (random) => ({ heights: [one(random, 5, [arc(random)]), one(random, 38)] }),
  },
  {
    what: "an arc near the pole, of a ring at 66 to 74 degrees",
    plan: (random) => ({
      heights: [
        one(random, 24),
        { elevationDeg: pick(random, 66, 74), stepDeg: pick(random, 12, 20), arcs: [arc(random, 110, 130)] },
      ],
    }),
  },
];

/** Half a degree as on rendered sets, two as on the worst captures; each photo off by about what is stated of it. */
const ERRORS_DEG = [0, 0.5, 2];

export function gapsOnTheSphere(seeds: number): Section[] {
  return ERRORS_DEG.map((errorDeg) => ({
    title:
      errorDeg === 0
        ? "Gaps, places exact"
        : `Gaps, places off by a standard error of ${errorDeg} degrees, which is stated`,
    about:
      `${seeds} sets a line of 20 to 120 directions, steps of 8 to 15 degrees, by hand (.7 degree); arcs of 35 degrees of azimuth and more taken out. ` +
      `Share of the gaps of ${NAMED_FROM_DEG} degrees and more not named by the two photos beside them; gaps claimed of places ` +
      `that are looked at, a set: no direction between is further than ${NO_GAP_DEG / 2} degrees from a photo, or photos of another height ` +
      "look at all of it within the step; sets of which a gap is said to be unknown.",
    rows: KINDS.map((kind): Row => {
      const outcomes = Array.from({ length: seeds }, (_, k) => outcomeOf(kind, errorDeg, k + 1));
      const sum = (of: (one: Outcome) => number) => outcomes.reduce((total, one) => total + of(one), 0);
      const gaps = sum(({ gaps }) => gaps);
      return {
        what: kind.what,
        measured: [
          gaps === 0 ? 0 : 1 - sum(({ named }) => named) / gaps,
          sum(({ invented }) => invented) / seeds,
          sum(({ unknown }) => (unknown > 0 ? 1 : 0)) / seeds,
        ],
        // With two degrees of error a gap of 30 is no more than 25 for sure.
        bar: errorDeg > 1 ? [1, 0] : [0.05, 0, 0.03],
      };
    }),
  }));
}

interface Outcome {
  readonly gaps: number;
  readonly named: number;
  readonly invented: number;
  readonly unknown: number;
}

function outcomeOf({ plan }: Kind, errorDeg: number, seed: number): Outcome {
  const random = randomSource(seed);
  const { heights, more = [] } = plan(random);
  const walks = heights.map((height, k) => walked(height, `ring${k}`, random));
  const truth = [...walks.flat(), ...more];
  const off = () => errorDeg * gaussian(random);
  const measured = truth.map((stand) => ({
    ...stand,
    // Near the pole a place that is off by a degree is off by many in azimuth.
    azimuthDeg: wrap360(
      stand.azimuthDeg + off() / Math.max(0.1, Math.cos((stand.elevationDeg * Math.PI) / 180)),
    ),
    elevationDeg: Math.max(-90, Math.min(90, stand.elevationDeg + off())),
  }));
  const judged = CHECKS.map((check) =>
    check.judge(factsAround(measured, { uncertaintyDeg: errorDeg }), check.limits),
  );
  const claimed = judged
    .flatMap(({ findings }, k) => findings.map((one) => ({ ...one, check: CHECKS[k]!.id })))
    .filter(({ severity }) => severity === "reshoot");
  const gaps = walks.flatMap((walk) => gapsOf(walk, truth));
  const names = (pair: readonly string[]) =>
    claimed.some(({ photos }) => pair.every((file) => photos.includes(file)));
  const places = new Map(truth.map((stand) => [stand.file, stand]));
  return {
    gaps: gaps.length,
    named: gaps.filter(names).length,
    invented: claimed.filter(({ check, photos }) => {
      if (photos.length !== 2) return true;
      const [a, b] = photos.map((file) => places.get(file)!);
      if (check === bandGap.id) return angleBetweenDirections(a!, b!) <= NO_GAP_DEG;
      return Math.max(holeDeg(a!, b!, truth), holeDeg(b!, a!, truth)) <= NO_GAP_DEG;
    }).length,
    unknown: judged.flatMap(({ skipped }) => skipped).length,
  };
}

function walked(
  { elevationDeg, stepDeg, arcs = [], swayDeg = 0 }: Height,
  name: string,
  random: () => number,
): Stand[] {
  const count = Math.round(360 / stepDeg);
  return Array.from({ length: count }, (_, k): Stand => {
    const meant = (360 * k) / count;
    return {
      file: `${name}_${String(k).padStart(3, "0")}.jpg`,
      azimuthDeg: wrap360(meant + 0.7 * gaussian(random)),
      elevationDeg: elevationDeg + swayDeg * Math.sin((meant * Math.PI) / 180) + 0.7 * gaussian(random),
    };
  }).filter(
    ({ azimuthDeg }) => !arcs.some(({ fromDeg, widthDeg }) => wrap360(azimuthDeg - fromDeg) < widthDeg),
  );
}

/** Photos here and there at about one height. */
function some(random: () => number, elevationDeg: number, count: number): Stand[] {
  return Array.from({ length: count }, (_, k) => ({
    file: `more_${k}.jpg`,
    azimuthDeg: 360 * random(),
    elevationDeg: elevationDeg + 2 * gaussian(random),
  }));
}

/** A walk at 25 degrees round the subject on its side: on the subject its directions go over the pole and below. */
function onItsSide(random: () => number): Stand[] {
  return walked({ elevationDeg: 25, stepDeg: 12 }, "side", random).map(
    ({ file, azimuthDeg, elevationDeg }) => {
      const [a, e] = [azimuthDeg, elevationDeg].map((deg) => (deg * Math.PI) / 180) as [number, number];
      const [x, y, z] = [Math.sin(e), Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a)];
      return {
        file,
        azimuthDeg: wrap360((Math.atan2(y, x) * 180) / Math.PI),
        elevationDeg: (Math.asin(z) * 180) / Math.PI,
      };
    },
  );
}

function hemisphere(count: number, random: () => number): Stand[] {
  return Array.from({ length: count }, (_, k) => ({
    file: `sphere_${String(k).padStart(3, "0")}.jpg`,
    azimuthDeg: wrap360((k * 360 * (3 - Math.sqrt(5))) / 2 + gaussian(random)),
    elevationDeg: (Math.asin(0.05 + (0.9 * (k + 0.5)) / count) * 180) / Math.PI + gaussian(random),
  }));
}

/** Neighbours of a walk with a hole of NAMED_FROM_DEG or more between them that no other height looks into. */
function gapsOf(walk: readonly Stand[], truth: readonly Stand[]): string[][] {
  return walk.flatMap((from, k) => {
    const to = walk[(k + 1) % walk.length]!;
    return holeDeg(from, to, truth) >= NAMED_FROM_DEG ? [[from.file, to.file]] : [];
  });
}

/**
 * Twice the angle from the emptiest direction, on the way clockwise from one place to another, to the photo nearest to it;
 * none where photos of another height look at the middle of the way within the step.
 */
function holeDeg(from: Stand, to: Stand, truth: readonly Stand[]): number {
  const width = wrap360(to.azimuthDeg - from.azimuthDeg);
  const at = (share: number) => ({
    azimuthDeg: wrap360(from.azimuthDeg + share * width),
    elevationDeg: from.elevationDeg + share * (to.elevationDeg - from.elevationDeg),
  });
  let widest = 0;
  for (let share = 0; share <= 1; share += 0.02) {
    const nearest = Math.min(...truth.map((stand) => angleBetweenDirections(at(share), stand)));
    widest = Math.max(widest, 2 * nearest);
  }
  const middle = at(0.5);
  const looked = truth.some(
    (stand) =>
      Math.abs(stand.elevationDeg - middle.elevationDeg) > 12.5 &&
      angleBetweenDirections(stand, middle) <= NO_GAP_DEG,
  );
  return looked ? 0 : widest;
}
