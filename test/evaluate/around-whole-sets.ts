/** Whole sets against exact truth: directions, bands, gaps, parts. */
import { type AroundMeasures, measureAround } from "#goodgate/measure/around/around.js";
import { bandOf } from "#goodgate/measure/around/bands.js";
import { type RingOptions, randomSource, ring, type TrueCamera } from "../measure/around/synthetic.js";
import { type SetOptions, shuffled, synthesise, trueDirections } from "../measure/around/whole-set.js";
import { percentile, type Row } from "./table.js";

interface Plan {
  readonly what: string;
  readonly rings: readonly RingOptions[];
  /** Azimuth ranges (from, to) without photos, as meant before jitter. */
  readonly holes?: readonly (readonly [number, number])[];
  readonly set?: SetOptions;
  readonly split?: boolean;
}

const PLANS: readonly Plan[] = [
  { what: "ring of 30 at 25", rings: [{ photos: 30, elevationDeg: 25 }] },
  { what: "ring of 24 at 8", rings: [{ photos: 24, elevationDeg: 8 }] },
  { what: "ring of 30 at 52", rings: [{ photos: 30, elevationDeg: 52 }] },
  { what: "ring of 30, 40 % portrait", rings: [{ photos: 30, elevationDeg: 25, portraitRatio: 0.4 }] },
  {
    what: "ring of 30, 40 % on their side",
    rings: [{ photos: 30, elevationDeg: 25, portraitRatio: 0.4, sidewaysFiles: true }],
  },
  {
    what: "rings at 10, 35, 58 and 3 above",
    rings: [
      { photos: 24, elevationDeg: 10 },
      { photos: 24, elevationDeg: 35 },
      { photos: 16, elevationDeg: 58 },
      { photos: 3, elevationDeg: 80 },
    ],
  },
  { what: "ring of 30 before a wall", rings: [{ photos: 30, elevationDeg: 25 }], set: { wall: 2500 } },
  { what: "hole of 34", rings: [{ photos: 30, elevationDeg: 25 }], holes: [[100, 134]] },
  { what: "hole of 50", rings: [{ photos: 36, elevationDeg: 30 }], holes: [[200, 250]] },
  {
    what: "hole of 34, focal 10 % long",
    rings: [{ photos: 30, elevationDeg: 25 }],
    holes: [[100, 134]],
    set: { focalFactor: 1.1 },
  },
  {
    what: "hole of 34, focal 10 % short",
    rings: [{ photos: 30, elevationDeg: 25 }],
    holes: [[100, 134]],
    set: { focalFactor: 0.9 },
  },
  {
    what: "two holes of 65 split it",
    rings: [{ photos: 40, elevationDeg: 25 }],
    holes: [
      [60, 125],
      [230, 295],
    ],
    split: true,
  },
];

function camerasOf(plan: Plan, random: () => number): TrueCamera[] {
  const all = plan.rings.flatMap((options) => ring(options, random));
  const kept = all.filter(
    ({ azimuthDeg }) => !(plan.holes ?? []).some(([from, to]) => azimuthDeg > from && azimuthDeg < to),
  );
  return shuffled(kept, random);
}

export interface SetResult {
  readonly facts: AroundMeasures;
  readonly cameras: readonly TrueCamera[];
  readonly milliseconds: number;
}

export function wholeSetRows(seeds: number): Row[] {
  return PLANS.flatMap((plan) => planRows(plan, seeds));
}

function planRows(plan: Plan, seeds: number): Row[] {
  const azimuthErrors: number[] = [];
  const elevationErrors: number[] = [];
  const uncertainty: number[] = [];
  const times: number[] = [];
  const confidence: number[] = [];
  let within = 0;
  let bands = 0;
  let bandsRight = 0;
  let wholes = 0;
  let found = 0;
  let expected = 0;
  let invented = 0;
  let worstWidth = 0;
  for (let seed = 1; seed <= seeds; seed++) {
    const cameras = camerasOf(plan, randomSource(seed * 104729));
    const set = synthesise(cameras, seed * 31 + 5, plan.set);
    const start = process.cpuUsage().user;
    const facts = measureAround(set.photos, set.pairs);
    times.push((process.cpuUsage().user - start) / 1000);
    const big = facts.parts.filter(({ photos }) => photos.length >= 3);
    if (big.length === (plan.split ? 2 : 1) && facts.parts.length === big.length) wholes++;
    for (const part of big) {
      confidence.push(part.confidence);
      const truth = trueDirections(cameras, part.photos);
      part.cameras.forEach((camera, k) => {
        const t = truth[k];
        const off = Math.abs(((camera.azimuthDeg - t.azimuthDeg + 540) % 360) - 180);
        if (t.elevationDeg < 65) azimuthErrors.push(off);
        elevationErrors.push(Math.abs(camera.elevationDeg - t.elevationDeg));
        uncertainty.push(camera.uncertaintyDeg);
        if (off <= 2 * camera.uncertaintyDeg) within++;
        if ([15, 40, 65].some((border) => Math.abs(border - t.elevationDeg) < 8)) return;
        bands++;
        const said = part.bands.find(({ photos }) => photos.includes(camera.photo))?.name;
        if (said === bandOf(t.elevationDeg)) bandsRight++;
      });
      if (plan.split) continue;
      // True steps of the single ring against those reported.
      if (plan.rings.length === 1) {
        const order = part.photos
          .map((photo, k) => ({ photo, az: truth[k].azimuthDeg }))
          .sort((p, q) => p.az - q.az);
        const cos = Math.cos((plan.rings[0].elevationDeg * Math.PI) / 180);
        const gaps = order
          .map((from, k) => {
            const to = order[(k + 1) % order.length];
            const width = (to.az - from.az + 360) % 360;
            return {
              from: from.photo,
              to: to.photo,
              width,
              angle: (360 / Math.PI) * Math.asin(cos * Math.sin((width * Math.PI) / 360)),
            };
          })
          .filter(({ angle }) => angle >= 25);
        const said = part.bands.flatMap(({ steps }) => steps).filter(({ angleDeg }) => angleDeg >= 25);
        expected += gaps.length;
        for (const gap of gaps) {
          const hit = part.bands
            .flatMap(({ steps }) => steps)
            .find((step) => step.fromPhoto === gap.from && step.toPhoto === gap.to);
          if (hit && hit.angleDeg >= 22) {
            found++;
            worstWidth = Math.max(worstWidth, Math.abs(hit.widthDeg - gap.width));
          }
        }
        invented += said.filter(
          (step) => !gaps.some((gap) => gap.from === step.fromPhoto && gap.to === step.toPhoto),
        ).length;
      } else {
        invented += part.bands.flatMap(({ steps }) => steps).filter(({ angleDeg }) => angleDeg > 30).length;
      }
    }
  }
  const focal = plan.set?.focalFactor !== undefined;
  const rows: Row[] = [
    {
      what: `${plan.what}: azimuth (median/max)`,
      measured: [percentile(azimuthErrors, 0.5), Math.max(...azimuthErrors)],
      ...(focal ? {} : { bar: [1, 6] }),
    },
    {
      what: "   elevation (median/max), stated uncertainty of azimuth, share within twice it, confidence, CPU ms",
      measured: [
        percentile(elevationErrors, 0.5),
        Math.max(...elevationErrors),
        percentile(uncertainty, 0.5),
        within / uncertainty.length,
        percentile(confidence, 0.5),
        percentile(times, 0.5),
      ],
    },
    {
      what: `   ${plan.split ? "declared split" : "in one part"}, share of sets`,
      measured: [wholes / seeds],
      bar: [1],
      atLeast: true,
    },
    ...(bands > 0
      ? [{ what: "   band right", measured: [bandsRight / bands], bar: [0.98], atLeast: true }]
      : []),
  ];
  if (expected > 0) {
    rows.push({
      what: "   gaps found with the exact photos, share",
      measured: [found / expected],
      bar: [1],
      atLeast: true,
    });
    rows.push({ what: "   their width, worst error", measured: [worstWidth], bar: [3] });
  }
  if (!plan.split)
    rows.push({ what: "   steps over 25 degrees that are none", measured: [invented], bar: [0] });
  return rows;
}
