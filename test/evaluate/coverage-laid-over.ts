/** Cameras round a subject that was laid down or turned over between two rounds, placed on the subject itself. */
import { directionsAround } from "#goodgate/measure/coverage/directions.js";
import { findLaidOver } from "#goodgate/measure/coverage/laid-over.js";
import { upAxis } from "#goodgate/measure/coverage/up.js";
import { rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { angleDegBetween, applyTransposed, multiply } from "#goodgate/measure/geometry/vector.js";
import { HAND_HELD, type RingOptions, randomSource, ring } from "../measure/poses/synthetic.js";
import type { Section } from "./table.js";

interface Kind {
  readonly what: string;
  readonly standing: readonly RingOptions[];
  readonly lying?: readonly RingOptions[];
  readonly tiltDeg?: number;
}

const round = (photos: number, elevationDeg: number, more: Partial<RingOptions> = {}): RingOptions => ({
  photos,
  elevationDeg,
  ...more,
});
const portrait = { portraitRatio: 0.4, sidewaysFiles: true };
const steep = { jitter: { ...HAND_HELD, rollDeg: 60 } };

const KINDS: readonly Kind[] = [
  { what: "laid on its side", standing: [round(30, 25)], lying: [round(24, 25)], tiltDeg: 90 },
  { what: "turned over", standing: [round(30, 25)], lying: [round(24, 25)], tiltDeg: 180 },
  {
    what: "laid on its side, two heights each",
    standing: [round(24, 10), round(24, 40)],
    lying: [round(24, 10), round(18, 40)],
    tiltDeg: 90,
  },
  {
    what: "turned over, two heights and one",
    standing: [round(24, 10), round(24, 40)],
    lying: [round(24, 30)],
    tiltDeg: 180,
  },
  { what: "laid back by 70 degrees", standing: [round(36, 25)], lying: [round(24, 25)], tiltDeg: 70 },
  { what: "one ring", standing: [round(30, 25)] },
  { what: "one ring, 40 % on their side", standing: [round(30, 25, portrait)] },
  { what: "three rings, 40 % on their side", standing: [5, 28, 52].map((at) => round(24, at, portrait)) },
  { what: "one ring from below level", standing: [round(30, -18)] },
  { what: "a ring and looks from above rolled any way", standing: [round(30, 25), round(8, 84, steep)] },
];

export function secondRounds(seeds: number): Section {
  return {
    title: "Laid down or turned over",
    about:
      `${seeds} sets a line, aim off by 2.5 degrees, roll by 3: share of sets of which the second round is missed (or invented), of its photos that are ` +
      "not named, of others that are; largest error of the up axis, degrees.",
    rows: KINDS.map(({ what, standing, lying, tiltDeg = 0 }) => {
      const outcomes = Array.from({ length: seeds }, (_, k) =>
        outcomeOf(standing, lying ?? [], tiltDeg, k + 1),
      );
      const mean = (of: (one: Outcome) => number) => outcomes.reduce((sum, one) => sum + of(one), 0) / seeds;
      return {
        what,
        measured: [
          mean(({ wrong }) => (wrong ? 1 : 0)),
          mean(({ unnamed }) => unnamed),
          mean(({ misnamed }) => misnamed),
          Math.max(...outcomes.map(({ upOffDeg }) => upOffDeg)),
        ],
        bar: lying === undefined ? [0, 0, 0] : [0.02, 0.1, 0.02],
      };
    }),
  };
}

interface Outcome {
  readonly wrong: boolean;
  readonly unnamed: number;
  readonly misnamed: number;
  readonly upOffDeg: number;
}

function outcomeOf(
  standing: readonly RingOptions[],
  lying: readonly RingOptions[],
  tiltDeg: number,
  seed: number,
): Outcome {
  const random = randomSource(seed);
  const first = standing.flatMap((options) => ring(options, random));
  const tilt = rotationFromAxisAngle([(tiltDeg * Math.PI) / 180, 0, 0]);
  const second = lying
    .flatMap((options) => ring(options, random))
    .map(({ rotation, centre }) => ({
      rotation: multiply(rotation, tilt),
      centre: applyTransposed(tilt, centre),
    }));
  const cameras = [...first, ...second];
  const rotations = cameras.map(({ rotation }) => [...rotation]);
  const centres = cameras.map(({ centre }) => [...centre]);
  const { up } = upAxis(rotations, centres, 5);
  const found = findLaidOver(rotations, up);
  const members = new Set(found?.members ?? []);
  // Either round may be taken for the first.
  const turned = directionsAround(centres, [0, 0, 0], up).length > 0 && up[2]! < Math.cos(Math.PI / 6);
  const isSecond = (k: number) => k >= first.length !== turned;
  const all = [...cameras.keys()];
  const own = all.filter(isSecond);
  const others = all.filter((k) => !isSecond(k));
  const share = (some: readonly number[], of: (k: number) => boolean) =>
    some.length === 0 ? 0 : some.filter(of).length / some.length;
  return {
    wrong: (found !== undefined) !== lying.length > 0,
    unnamed: lying.length === 0 ? 0 : share(own, (k) => !members.has(k)),
    misnamed: share(others, (k) => members.has(k)),
    upOffDeg: Math.min(
      angleDegBetween(up, [0, 0, 1]),
      lying.length === 0 ? 180 : angleDegBetween(up, applyTransposed(tilt, [0, 0, 1])),
    ),
  };
}
