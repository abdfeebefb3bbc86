import { paintTexture } from "../paint.js";
import { type Grid, latheGrid, tubeGrid } from "../patch.js";
import type { Part } from "../scene.js";
import { smoothStep } from "../vector.js";
import { finish, type Material, stonewarePainter } from "./materials.js";

/** Outer wall, radius and height in metres, foot to lip. */
const outerWall: readonly (readonly [number, number])[] = [
  [0.001, 0.001],
  [0.05, 0.0],
  [0.058, 0.006],
  [0.08, 0.055],
  [0.094, 0.105],
  [0.088, 0.155],
  [0.064, 0.198],
  [0.047, 0.228],
  [0.048, 0.252],
  [0.057, 0.272],
];

/** Inner wall, lip to bottom. */
const innerWall: readonly (readonly [number, number])[] = [
  [0.057, 0.272],
  [0.053, 0.273],
  [0.043, 0.25],
  [0.041, 0.228],
  [0.058, 0.196],
  [0.08, 0.15],
  [0.07, 0.05],
  [0.001, 0.02],
];

const handlePath: readonly (readonly [number, number])[] = [
  [0.046, 0.246],
  [0.085, 0.262],
  [0.122, 0.235],
  [0.128, 0.185],
  [0.108, 0.14],
  [0.084, 0.118],
];

/** Pulled spout opposite the handle, and the ridges the potter's fingers left. */
function wallPush(angle: number, height: number): number {
  const turned = Math.atan2(Math.sin(angle), Math.cos(angle));
  const spout = 0.016 * Math.exp(-((turned / 0.35) ** 2)) * smoothStep(0.225, 0.272, height);
  return spout + 0.0006 * Math.sin(height * 520) * smoothStep(0.01, 0.04, height);
}

/** A stoneware jug with a handle, 27 cm high. Stands on z = 0, spout along x. */
export function makeJug(seed: number, material: Material): Part[] {
  const part = (grid: Grid, width: number, height: number): Part => {
    const { painter, detail, gloss } = finish(material, seed, () => stonewarePainter(seed, width, height));
    return {
      grid,
      paint: () => paintTexture(grid, width, height, painter()),
      subject: true,
      casts: true,
      detail,
      gloss,
    };
  };
  const body = latheGrid(outerWall, 129, 140, wallPush);
  const inside = latheGrid(innerWall, 97, 60, wallPush);
  const handle = tubeGrid(handlePath, Math.PI, 0.014, 0.008, 25, 70);
  return [part(body, 2048, 1024), part(inside, 512, 512), part(handle, 128, 512)];
}
