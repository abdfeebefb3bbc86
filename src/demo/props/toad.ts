import { octaves } from "../noise.js";
import { paintTexture } from "../paint.js";
import { ellipsoidGrid } from "../patch.js";
import type { Part } from "../scene.js";
import type { Vector3 } from "../vector.js";
import { carvedWoodPainter, finish, type Material } from "./materials.js";

/** Warts, chisel facets and a ridge down the back. */
function lumps(seed: number, strength: number): (direction: Vector3) => number {
  return ([x, y, z]) => {
    const broad = octaves(x * 0.1, y * 0.1, z * 0.1, 0.14, 0.06, seed, 0.7);
    const warts = Math.max(0, octaves(x * 0.1, y * 0.1, z * 0.1, 0.03, 0.02, seed + 2) - 0.1);
    const ridge = 0.06 * Math.exp(-((y / 0.16) ** 2)) * Math.max(0, z);
    return strength * (0.09 * broad + 0.14 * warts) + ridge;
  };
}

/** A carved wooden toad, 26 cm long. Sits on z = 0, nose along x. */
export function makeToad(seed: number, material: Material): Part[] {
  const { painter, detail, gloss } = finish(material, seed, () => carvedWoodPainter(seed));
  const common = { subject: true, casts: true, detail, gloss };
  const blob = (
    centre: Vector3,
    half: Vector3,
    columns: number,
    rows: number,
    texture: number,
    salt: number,
    strength: number,
  ): Part => {
    const grid = ellipsoidGrid(centre, half, columns, rows, lumps(seed + salt, strength));
    return { grid, paint: () => paintTexture(grid, texture, texture, painter()), ...common };
  };
  const parts = [
    blob([-0.015, 0, 0.066], [0.105, 0.085, 0.068], 181, 150, 1024, 0, 1),
    blob([0.085, 0, 0.075], [0.06, 0.062, 0.044], 121, 90, 512, 1, 0.7),
  ];
  for (const side of [-1, 1]) {
    parts.push(
      blob([0.1, 0.034 * side, 0.113], [0.017, 0.015, 0.016], 33, 25, 128, 4, 0.3),
      blob([-0.06, 0.078 * side, 0.042], [0.062, 0.03, 0.044], 61, 50, 256, 6 + side, 0.8),
      blob([-0.02, 0.1 * side, 0.012], [0.045, 0.022, 0.014], 41, 33, 256, 9 + side, 0.8),
      blob([0.075, 0.066 * side, 0.03], [0.022, 0.019, 0.034], 41, 33, 128, 12 + side, 0.8),
      blob([0.095, 0.075 * side, 0.009], [0.034, 0.02, 0.011], 41, 33, 128, 15 + side, 0.8),
    );
  }
  return parts;
}
