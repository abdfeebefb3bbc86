/** The vote of far pairs: subjects turned before a camera at rest, and walks of all kinds, on point clouds. */
import { dynamicMatches, staticMatches } from "#goodgate/measure/turntable/static-matches.js";
import { farPairs, subjectTurned } from "#goodgate/measure/turntable/turned-subject.js";
import {
  cameraAt,
  gaussian,
  HAND_HELD,
  match,
  type Photo,
  photograph,
  randomSource,
  ring,
  STEADY,
  scene,
  type TrueCamera,
} from "../measure/poses/synthetic.js";
import type { Section } from "./table.js";

interface Shot extends Photo {
  /** Keypoint of each background point, from here on in the keypoints' order. */
  readonly firstBackground: number;
}

const BACKGROUND = 400;
/** Chance that a background point is matched, and the share of wrong matches among all. */
const BACKGROUND_MATCHED = 0.5;
const WRONG = 0.1;

/** How a camera that is meant to rest is nudged, or its pictures cropped (the last): px of 1000, and degrees. */
const NUDGES = [
  { shiftPx: 0, rollDeg: 0 },
  { shiftPx: 3, rollDeg: 0.1 },
  { shiftPx: 15, rollDeg: 0.5 },
  { shiftPx: 80, rollDeg: 0.1 },
];

/** The subject turned in steps before a camera at rest: the subject as around it, the background as it is. */
function turnedSet(
  photos: number,
  shape: "all over" | "table only",
  nudge: (typeof NUDGES)[number],
  seed: number,
) {
  const random = randomSource(seed * 3511 + 1);
  const points = scene(random, { table: 0 });
  const background = Array.from({ length: BACKGROUND }, () => {
    for (;;) {
      const x = 1000 * random();
      const y = shape === "all over" ? 750 * random() : 560 + 190 * random();
      // The subject hides the middle.
      if (Math.hypot(x - 500, y - 375) > 180) return [x, y];
    }
  });
  const elevation = 10 + 30 * random();
  const shots = Array.from({ length: photos }, (_, k): Shot => {
    const seen = photograph(points, cameraAt((360 * k) / photos, elevation, 5, STEADY, random), random);
    const [dx, dy] = [0, 1].map(() => nudge.shiftPx * gaussian(random));
    const roll = (nudge.rollDeg * gaussian(random) * Math.PI) / 180;
    const moved = background.map(([x, y]) => [
      x - roll * (y - 375) + dx + 0.5 * gaussian(random),
      y + roll * (x - 500) + dy + 0.5 * gaussian(random),
    ]);
    return {
      ...seen,
      x: Float32Array.from([...seen.x, ...moved.map(([x]) => x)]),
      y: Float32Array.from([...seen.y, ...moved.map(([, y]) => y)]),
      firstBackground: seen.x.length,
    };
  });
  const matchesOf = (a: Shot, b: Shot): Int32Array => {
    const found = [...match(points, a, b, random, { outlierRatio: 0 })];
    for (let k = 0; k < BACKGROUND; k++)
      if (random() < BACKGROUND_MATCHED) found.push(a.firstBackground + k, b.firstBackground + k);
    return withWrong(found, a.x.length, b.x.length, random);
  };
  return { shots, matchesOf };
}

function withWrong(found: number[], a: number, b: number, random: () => number): Int32Array {
  const wrong = Math.max(20, Math.round((WRONG * found.length) / 2));
  for (let k = 0; k < wrong; k++) found.push(Math.floor(a * random()), Math.floor(b * random()));
  return Int32Array.from(found);
}

const WALKS: Readonly<Record<string, (random: () => number) => { cameras: TrueCamera[]; wall: number }>> = {
  "ring of 30": (random) => ({ cameras: ring({ photos: 30, elevationDeg: 25 }, random), wall: 0 }),
  "ring of 30 before a wall": (random) => ({
    cameras: ring({ photos: 30, elevationDeg: 25 }, random),
    wall: 2500,
  }),
  "quarter of a ring before a wall": (random) => ({
    cameras: ring({ photos: 20, elevationDeg: 15, fromDeg: -45, spanDeg: 90 }, random),
    wall: 4000,
  }),
  "60 degrees before a wall, steady": (random) => ({
    cameras: ring({ photos: 20, elevationDeg: 15, fromDeg: -30, spanDeg: 60, jitter: STEADY }, random),
    wall: 4000,
  }),
  "40 degrees before a wall": (random) => ({
    cameras: ring({ photos: 16, elevationDeg: 15, fromDeg: -20, spanDeg: 40, jitter: HAND_HELD }, random),
    wall: 4000,
  }),
};

export function turnedSubjects(seeds: number): Section {
  const turned = NUDGES.flatMap((nudge) =>
    (["all over", "table only"] as const).map((shape) => {
      const calls = Array.from({ length: seeds }, (_, k) => {
        const { shots, matchesOf } = turnedSet(12 + 6 * (k % 4), shape, nudge, k + 1);
        const far = farPairs(shots.length);
        const votes = far.map(([i, j]) => staticMatches(shots[i], shots[j], matchesOf(shots[i], shots[j])));
        const near = matchesOf(shots[0], shots[1]);
        const kept = dynamicMatches(shots[0], shots[1], near);
        let background = 0;
        for (let m = 0; m < kept.length; m += 2)
          if (
            kept[m] - shots[0].firstBackground === kept[m + 1] - shots[1].firstBackground &&
            kept[m] >= shots[0].firstBackground
          )
            background++;
        return { called: subjectTurned(votes) === true, left: (2 * background) / kept.length };
      });
      return { nudge, shape, calls };
    }),
  );
  const walks = Object.entries(WALKS).map(([name, make]) => {
    const called = Array.from({ length: seeds }, (_, k) => {
      const random = randomSource(k * 911 + 7);
      const { cameras, wall } = make(random);
      const points = scene(random, { wall });
      const photos = cameras.map((camera) => photograph(points, camera, random));
      const votes = farPairs(photos.length).map(([i, j]) => {
        const found = [...match(points, photos[i], photos[j], random, { outlierRatio: 0 })];
        const matches = withWrong(found, photos[i].x.length, photos[j].x.length, random);
        return staticMatches(photos[i], photos[j], matches);
      });
      return subjectTurned(votes) === true;
    });
    return { name, called };
  });
  const share = (flags: readonly boolean[]): number => flags.filter(Boolean).length / flags.length;
  return {
    title: "Turned subject, point clouds",
    about:
      "Share of sets said to show a turned subject. Nudges are standard deviations between photos, px of 1000. Left over: " +
      "share of background among the matches kept as moving, of neighbours, largest.",
    rows: [
      ...turned.flatMap(({ nudge, shape, calls }) => [
        {
          what: `turned, background ${shape}, camera nudged by ${nudge.shiftPx} px and ${nudge.rollDeg} degree`,
          measured: [share(calls.map(({ called }) => called))],
          bar: [1],
          atLeast: true,
        },
        {
          what: "... background left over",
          measured: [Math.max(...calls.map(({ left }) => left))],
          bar: [0.1],
        },
      ]),
      ...walks.map(({ name, called }) => ({ what: `walk: ${name}`, measured: [share(called)], bar: [0] })),
    ],
  };
}
