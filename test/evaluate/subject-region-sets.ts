import type { SetOptions } from "#goodgate/demo/index.js";

/** Sets whose regions are held against the true masks: what differs from the common options. */
export const REGION_SETS: Readonly<Record<string, Partial<SetOptions>>> = {
  "matt jug, store": { seed: 1, subject: "jug" },
  "matt toad, wall": { seed: 2, subject: "toad", background: "wall", lamps: "overcast" },
  "matt trunk, store": { seed: 3, subject: "trunk", lamps: "two opposite" },
  "matt lamp, store": { seed: 4, subject: "lamp" },
  "matt jug, plain room": { seed: 5, subject: "jug", background: "plain" },
  "matt toad, turned": { seed: 6, subject: "toad", walk: "turned" },
  "matt trunk, one lamp": { seed: 7, subject: "trunk", lamps: "one" },
  "plaster jug, store": { seed: 8, subject: "jug", material: "plaster" },
  "plaster toad, store": { seed: 9, subject: "toad", material: "plaster", lamps: "one" },
  "plaster trunk, wall": { seed: 10, subject: "trunk", material: "plaster", background: "wall" },
  "plaster lamp, store": { seed: 11, subject: "lamp", material: "plaster", lamps: "overcast" },
};
