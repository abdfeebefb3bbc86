import type { Part } from "../scene.js";
import { makeJug } from "./jug.js";
import { makeLamp } from "./lamp.js";
import type { Material } from "./materials.js";
import { makeToad } from "./toad.js";
import { makeTrunk } from "./trunk.js";

export type { Material } from "./materials.js";

/** Every prop stands on z = 0 around the z axis, 15 to 35 cm in size. */
export type PropName = "jug" | "toad" | "trunk" | "lamp";

const makers: Readonly<Record<PropName, (seed: number, material: Material) => Part[]>> = {
  jug: makeJug,
  toad: makeToad,
  trunk: makeTrunk,
  lamp: makeLamp,
};

export const propNames = Object.keys(makers) as readonly PropName[];

/** The parts of a prop, made larger or smaller by a factor. */
export function makeProp(name: PropName, seed: number, material: Material, size: number): Part[] {
  const parts = makers[name](seed, material);
  if (size === 1) return parts;
  return parts.map((part) => ({
    ...part,
    grid: { ...part.grid, positions: part.grid.positions.map((value) => value * size) },
  }));
}
