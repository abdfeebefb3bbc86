/** Good photos that the sets of the gate's evaluation are made from, each drawn once and kept in a cache folder. */
import { existsSync } from "node:fs";
import { readdir } from "node:fs/promises";
import { join } from "node:path";
import { cleanDemo, type Fault, planSet, type SetOptions, writeSet } from "#goodgate/demo/index.js";

/** A rendered walk: what differs from the clean demo set. */
export type Base = Partial<SetOptions>;

const SMALL = { widthPx: 800, heightPx: 600 };
/** Where a fault is told in pixels at 1920, the picture has to hold that much detail. */
const LARGE = { widthPx: 1600, heightPx: 1200 };

const ring = (elevationDeg: number, photos: number, spanDeg = 360, startDeg = 0) => ({
  elevationDeg,
  photos,
  startDeg,
  spanDeg,
});
const everywhere = (count: number, fault: Fault) =>
  Array.from({ length: count }, (_, photo) => ({ photo, fault }));

/** Every base by name. */
export const bases: Readonly<Record<string, Base>> = {
  jug: { ...SMALL, seed: 3, rings: [ring(20, 24)] },
  toad: { ...SMALL, seed: 4, subject: "toad", rings: [ring(24, 24)] },
  lamp: { ...SMALL, seed: 5, subject: "lamp", background: "wall", rings: [ring(18, 24)] },
  "jug-other-room": { ...SMALL, seed: 6, background: "wall", rings: [ring(22, 24)] },
  "jug-large": { ...LARGE, seed: 3, rings: [ring(20, 24)] },
  "toad-large": { ...LARGE, seed: 4, subject: "toad", rings: [ring(24, 24)] },
  "lamp-large": { ...LARGE, seed: 5, subject: "lamp", background: "wall", rings: [ring(18, 24)] },
  "jug-half": { ...SMALL, seed: 8, rings: [ring(20, 16, 180)] },
  "toad-half": { ...SMALL, seed: 9, subject: "toad", rings: [ring(24, 16, 180)] },
  "jug-front": { ...SMALL, seed: 10, rings: [ring(15, 12, 120), ring(35, 10, 110)] },
  "toad-front": { ...SMALL, seed: 11, subject: "toad", rings: [ring(20, 18, 160)] },
  "lamp-front": { ...SMALL, seed: 12, subject: "lamp", background: "wall", rings: [ring(20, 20, 140, 110)] },
  "jug-cut-side": {
    ...SMALL,
    seed: 13,
    rings: [ring(20, 24)],
    faults: everywhere(24, { kind: "cut", areaRatio: 0.35, directionDeg: 0 }),
  },
  "toad-cut-top": {
    ...SMALL,
    seed: 14,
    subject: "toad",
    rings: [ring(24, 24)],
    faults: everywhere(24, { kind: "cut", areaRatio: 0.35, directionDeg: 270 }),
  },
  "jug-cut-top": {
    ...SMALL,
    seed: 15,
    rings: [ring(20, 24)],
    faults: everywhere(24, { kind: "cut", areaRatio: 0.3, directionDeg: 270 }),
  },
  "jug-tiny": {
    ...SMALL,
    seed: 16,
    rings: [ring(20, 24)],
    faults: everywhere(24, { kind: "small", sideRatio: 0.09 }),
  },
  "toad-tiny": {
    ...SMALL,
    seed: 17,
    subject: "toad",
    rings: [ring(20, 24)],
    faults: everywhere(24, { kind: "small", sideRatio: 0.12 }),
  },
  "plaster-plain": {
    ...SMALL,
    seed: 18,
    material: "plaster",
    background: "plain",
    rings: [ring(20, 24)],
  },
  "plaster-toad-plain": {
    ...SMALL,
    seed: 19,
    subject: "toad",
    material: "plaster",
    background: "plain",
    rings: [ring(24, 24)],
  },
  "plaster-store": { ...SMALL, seed: 20, material: "plaster", rings: [ring(20, 24)] },
  "jug-turned": { ...SMALL, seed: 21, walk: "turned", rings: [ring(20, 24)] },
  "toad-turned": { ...SMALL, seed: 22, subject: "toad", walk: "turned", rings: [ring(24, 24)] },
  "jug-turned-plain": {
    ...SMALL,
    seed: 23,
    walk: "turned",
    background: "plain",
    rings: [ring(20, 24)],
  },
  "jug-sparse": { ...SMALL, seed: 24, rings: [ring(20, 8)] },
  "jug-two-heights": { ...SMALL, seed: 25, rings: [ring(12, 18), ring(38, 18)] },
};

const PROPS = ["jug", "toad", "lamp"] as const;
const HEIGHTS = [[20], [10, 34], [8, 28, 50]] as const;
const PER_RING = [24, 18, 16] as const;

/** A hundred clean sets: three props, with and without a wall, one to three heights. */
export const cleanBases: Readonly<Record<string, Base>> = Object.fromEntries(
  Array.from({ length: 100 }, (_, k) => {
    const subject = PROPS[k % 3];
    const background = Math.floor(k / 3) % 2 === 0 ? ("store" as const) : ("wall" as const);
    const rings = Math.floor(k / 6) % 3;
    return [
      `clean-${String(k + 1).padStart(3, "0")}-${subject}-${background}-${rings + 1}`,
      {
        ...SMALL,
        seed: 1000 + k,
        subject,
        background,
        rings: HEIGHTS[rings].map((elevationDeg, i) => ring(elevationDeg, PER_RING[rings], 360, 17 * i)),
      },
    ];
  }),
);

/** The photos of a base in capture order, drawn where the cache folder lacks them. */
export async function basePhotos(name: string, cache: string): Promise<string[]> {
  const folder = join(cache, "bases", name);
  const base = bases[name] ?? cleanBases[name];
  if (base === undefined) throw new RangeError(`no base is called ${name}`);
  if (!existsSync(folder)) await writeSet(planSet({ ...cleanDemo, ...base }), folder, { jobs: 1 });
  const names = (await readdir(folder)).filter((file) => file.endsWith(".jpg")).sort();
  return names.map((file) => join(folder, file));
}
