import { paintTexture } from "../paint.js";
import { boxFaces, faceGrid } from "../patch.js";
import type { Part } from "../scene.js";
import { length, type Vector3 } from "../vector.js";
import { brassPainter, finish, ironPainter, type Material, trunkPainter } from "./materials.js";

const halfLengthM = 0.16;
const halfDepthM = 0.1;
const bodyHeightM = 0.13;
const lidHeightM = 0.035;
/** How far straps stand out. */
const strapM = 0.004;

/** A painted travelling trunk with iron straps, 32 cm long. Stands on z = 0, front along -y. */
export function makeTrunk(seed: number, material: Material): Part[] {
  const parts: Part[] = [];
  const addBox = (
    low: Vector3,
    high: Vector3,
    texelsPerM: number,
    kind: "boards" | "iron" | "brass",
    domed: number,
  ): void => {
    boxFaces(low, high).forEach(([corner, alongU, alongV], face) => {
      const lid = face === 4 && domed > 0;
      const fine = kind === "boards";
      const grid = faceGrid(
        corner,
        alongU,
        alongV,
        fine ? 41 : 9,
        fine ? 41 : 9,
        lid ? (u, v) => domed * 16 * u * (1 - u) * v * (1 - v) * (0.6 + 0.4 * v) : () => 0,
      );
      const side = (v: Vector3): number =>
        Math.min(1024, Math.max(32, 2 ** Math.ceil(Math.log2(length(v) * texelsPerM))));
      const width = side(alongU);
      const height = side(alongV);
      const salt = seed + 101 * parts.length;
      const own = () =>
        kind === "boards"
          ? trunkPainter(salt, width, height)
          : kind === "iron"
            ? ironPainter(salt)
            : brassPainter(salt);
      const { painter, detail, gloss } = finish(material, salt, own);
      parts.push({
        grid,
        paint: () => paintTexture(grid, width, height, painter()),
        subject: true,
        casts: true,
        detail,
        gloss,
      });
    });
  };
  const l = halfLengthM;
  const d = halfDepthM;
  addBox([-l, -d, 0], [l, d, bodyHeightM], 2600, "boards", 0);
  addBox(
    [-l - 0.003, -d - 0.003, bodyHeightM + 0.002],
    [l + 0.003, d + 0.003, bodyHeightM + lidHeightM],
    2600,
    "boards",
    0.02,
  );
  for (const x of [-0.1, 0.1]) {
    addBox([x - 0.012, -d - strapM, 0], [x + 0.012, d + strapM, bodyHeightM], 1600, "iron", 0);
  }
  addBox([-0.022, -d - 0.011, bodyHeightM - 0.04], [0.022, -d, bodyHeightM + 0.012], 2600, "brass", 0);
  for (const x of [-l - 0.016, l]) {
    addBox([x, -0.035, 0.075], [x + 0.016, 0.035, 0.09], 1600, "iron", 0);
  }
  return parts;
}
