import type { PlacedFault, SetOptions } from "#goodgate/demo/index.js";
import { createRandom } from "#goodgate/demo/random.js";

/** Before a wall, nobody walks all the way round. */
const arc = [12, 38].map((elevationDeg) => ({ elevationDeg, photos: 12, startDeg: -80, spanDeg: 160 }));

/** Sets whose regions are held against the true masks: what differs from the common options. */
export const REGION_SETS: Readonly<Record<string, Partial<SetOptions>>> = {
  "matt jug, store": { seed: 1, subject: "jug" },
  "matt toad, wall": { seed: 2, subject: "toad", background: "wall", lamps: "overcast", rings: arc },
  "matt trunk, store": { seed: 3, subject: "trunk", lamps: "two opposite" },
  "matt lamp, store": { seed: 4, subject: "lamp" },
  "matt jug, plain arena": { seed: 5, subject: "jug", background: "plain" },
  "matt trunk, one lamp": { seed: 7, subject: "trunk", lamps: "one" },
  "plaster jug, store": { seed: 8, subject: "jug", material: "plaster" },
  "plaster toad, store": { seed: 9, subject: "toad", material: "plaster", lamps: "one" },
  "plaster trunk, wall": {
    seed: 10,
    subject: "trunk",
    material: "plaster",
    background: "wall",
    lamps: "overcast",
    rings: arc,
  },
  "plaster lamp, store": { seed: 11, subject: "lamp", material: "plaster", lamps: "overcast" },
};

const props = ["jug", "toad", "trunk", "lamp"] as const;
const lamps = ["three", "two opposite", "overcast"] as const;

/** Photos of a fault set that a fault befalls, by kind; the others are good. Good ones stand beside each. */
const PLACES = { cut: [2, 9, 20], small: [5, 12, 24], wrongPlane: [7, 15, 27], softBackground: [0, 18, 22] };

/** Sets with faults of the sizes asked for, three photos each, and a burnt-out window behind every second prop. */
export function faultSet(seed: number): { change: Partial<SetOptions>; faults: PlacedFault[] } {
  const random = createRandom(seed, 5100);
  const at = (photo: number, fault: PlacedFault["fault"]): PlacedFault => ({ photo, fault });
  const sides = [0, 90, 180, 270] as const;
  return {
    change: {
      seed: 100 + seed,
      subject: props[seed % 4],
      lamps: lamps[seed % 3],
      ...(seed % 2 === 0 ? { window: { azimuthDeg: 360 * random.uniform(), stops: 3 } } : {}),
    },
    faults: [
      ...PLACES.cut.map((photo) =>
        at(photo, {
          kind: "cut",
          areaRatio: random.between(0.05, 0.12),
          directionDeg: sides[random.below(4)],
        }),
      ),
      ...PLACES.small.map((photo) => at(photo, { kind: "small", sideRatio: random.between(0.2, 0.295) })),
      ...PLACES.wrongPlane.map((photo) =>
        at(photo, { kind: "focus-plane", plane: "background", sigmaPx: random.between(2, 3.5) }),
      ),
      ...PLACES.softBackground.map((photo) =>
        at(photo, { kind: "focus-plane", plane: "subject", sigmaPx: random.between(1.5, 2.5) }),
      ),
    ],
  };
}

/** Good sets that are harder to call good: framed tightly, walked closer and farther, with a window behind. */
export const GOOD_SETS: Readonly<Record<string, Partial<SetOptions>>> = {
  "tight jug": { seed: 21, subject: "jug", fillRatio: 0.95, lamps: "overcast" },
  "tight lamp": { seed: 22, subject: "lamp", fillRatio: 0.92, window: { azimuthDeg: 40, stops: 3 } },
  "tight trunk": { seed: 23, subject: "trunk", fillRatio: 0.95, lamps: "two opposite" },
};
