import type { Grid } from "./patch.js";
import { createTexture, type Texture } from "./texture.js";

/** A point of a surface as a painter sees it. Painters know the surface, never the picture. */
export interface SurfacePoint {
  /** Texel column and row. */
  i: number;
  j: number;
  u: number;
  v: number;
  /** Metres, in the prop's own frame. */
  x: number;
  y: number;
  z: number;
}

/** Writes linear reflectance, 0 to 1, of red, green and blue. */
export type Painter = (point: SurfacePoint, out: Float64Array) => void;

/** Square-root code of three reflectances, clipped to 0 to 1. */
function putTexel(full: Uint8Array, at: number, out: Float64Array): void {
  for (let c = 0; c < 3; c++) full[at + c] = 255 * Math.sqrt(Math.min(1, Math.max(0, out[c]))) + 0.5;
}

/** Paints every texel by its column, row, u and v alone: x, y and z are 0. Sides are powers of two. */
export function paintFlat(width: number, height: number, painter: Painter): Texture {
  const full = new Uint8Array(3 * width * height);
  const point: SurfacePoint = { i: 0, j: 0, u: 0, v: 0, x: 0, y: 0, z: 0 };
  const out = new Float64Array(3);
  for (let j = 0, at = 0; j < height; j++) {
    point.j = j;
    point.v = (j + 0.5) / height;
    for (let i = 0; i < width; i++, at += 3) {
      point.i = i;
      point.u = (i + 0.5) / width;
      painter(point, out);
      putTexel(full, at, out);
    }
  }
  return createTexture(width, height, full);
}

/** Paints every texel of a surface by its place in space too. Sides are powers of two. */
export function paintTexture(grid: Grid, width: number, height: number, painter: Painter): Texture {
  const { columns, rows, positions } = grid;
  const full = new Uint8Array(3 * width * height);
  const point: SurfacePoint = { i: 0, j: 0, u: 0, v: 0, x: 0, y: 0, z: 0 };
  const out = new Float64Array(3);
  for (let j = 0, at = 0; j < height; j++) {
    point.j = j;
    point.v = (j + 0.5) / height;
    const gy = point.v * (rows - 1);
    const row = Math.min(rows - 2, Math.floor(gy));
    const fy = gy - row;
    for (let i = 0; i < width; i++, at += 3) {
      point.i = i;
      point.u = (i + 0.5) / width;
      const gx = point.u * (columns - 1);
      const column = Math.min(columns - 2, Math.floor(gx));
      const fx = gx - column;
      const a = 3 * (row * columns + column);
      const b = a + 3 * columns;
      const w00 = (1 - fx) * (1 - fy);
      const w10 = fx * (1 - fy);
      const w01 = (1 - fx) * fy;
      const w11 = fx * fy;
      point.x = w00 * positions[a] + w10 * positions[a + 3] + w01 * positions[b] + w11 * positions[b + 3];
      point.y =
        w00 * positions[a + 1] + w10 * positions[a + 4] + w01 * positions[b + 1] + w11 * positions[b + 4];
      point.z =
        w00 * positions[a + 2] + w10 * positions[a + 5] + w01 * positions[b + 2] + w11 * positions[b + 5];
      painter(point, out);
      putTexel(full, at, out);
    }
  }
  return createTexture(width, height, full);
}
