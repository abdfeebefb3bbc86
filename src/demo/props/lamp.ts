import { paintTexture } from "../paint.js";
import { latheGrid, tubeGrid } from "../patch.js";
import type { Part } from "../scene.js";
import { brassPainter, finish, type Material } from "./materials.js";

const body: readonly (readonly [number, number])[] = [
  [0.001, 0.001],
  [0.062, 0.0],
  [0.066, 0.01],
  [0.04, 0.03],
  [0.018, 0.055],
  [0.022, 0.085],
  [0.058, 0.115],
  [0.062, 0.14],
  [0.036, 0.165],
  [0.022, 0.178],
  [0.034, 0.19],
  [0.034, 0.2],
  [0.016, 0.208],
  [0.026, 0.245],
  [0.02, 0.29],
  [0.018, 0.31],
  [0.001, 0.312],
];

const handlePath: readonly (readonly [number, number])[] = [
  [0.058, 0.135],
  [0.09, 0.145],
  [0.1, 0.11],
  [0.078, 0.08],
  [0.02, 0.075],
];

/** A brass lamp, 31 cm high. Stands on z = 0, handle along -x. */
export function makeLamp(seed: number, material: Material): Part[] {
  const { painter, detail, gloss } = finish(material, seed, () => brassPainter(seed));
  const common = { subject: true, casts: true, detail, gloss };
  const grid = latheGrid(body, 97, 160, (angle, height) =>
    height > 0.1 && height < 0.15 ? 0.0025 * Math.cos(10 * angle) : 0,
  );
  const handle = tubeGrid(handlePath, Math.PI, 0.007, 0.005, 21, 50);
  return [
    { grid, paint: () => paintTexture(grid, 1024, 1024, painter()), ...common },
    { grid: handle, paint: () => paintTexture(handle, 128, 512, painter()), ...common },
  ];
}
