import type { Size } from "./plain.js";

/** The kernels of src/kernels/assembly/edges.ts in plain TypeScript. */

export interface EdgeOptions {
  readonly apart: number;
  readonly own: number;
  readonly diagonal: number;
  readonly unit: number;
}

/** Gradient over the 2 x 2 px that begin at (x, y). */
function gradient(image: ArrayLike<number>, { width }: Size, x: number, y: number): [number, number] {
  const at = y * width + x;
  const [a, b, c, d] = [image[at]!, image[at + 1]!, image[at + width]!, image[at + width + 1]!];
  return [(b + d - a - c) / 2, (c + d - a - b) / 2];
}

export function squaredSlope(image: ArrayLike<number>, size: Size, x: number, y: number): number {
  const [gx, gy] = gradient(image, size, x, y);
  return gx * gx + gy * gy;
}

/** Edges of one row of `soft`, one by one: direction, strength and width step. */
export function edgesOf(
  soft: ArrayLike<number>,
  crisp: ArrayLike<number>,
  size: Size,
  y: number,
  [first, end]: readonly [number, number],
  { apart, own, diagonal, unit }: EdgeOptions,
): [number, number, number][] {
  const found: [number, number, number][] = [];
  for (let x = first; x < end; x++) {
    const slope = squaredSlope(soft, size, x, y);
    if (slope < 4) continue;
    const [gx, gy] = gradient(soft, size, x, y);
    const length = Math.sqrt(slope);
    const [nx, ny] = [gx / length, gy / length];
    const dx = Math.abs(nx) >= 0.5 ? Math.sign(nx) : 0;
    const dy = Math.abs(ny) >= 0.5 ? Math.sign(ny) : 0;
    if (slope < squaredSlope(soft, size, x + dx, y + dy) || slope <= squaredSlope(soft, size, x - dx, y - dy))
      continue;
    const across = [-1, 0, 1].map((k) => {
      const [hx, hy] = gradient(crisp, size, x + k * dx, y + k * dy);
      return Math.abs(hx * nx + hy * ny);
    });
    const ratio = (Math.max(...across) / length) ** 2;
    const variance = ratio > 1.001 ? apart / (ratio - 1) - own - diagonal * (2 * nx * ny) ** 4 : 1e6;
    const width = Math.min(79, Math.floor(20 * unit * Math.sqrt(Math.max(0, variance))));
    const octave = Math.floor(Math.log2(slope));
    const strength = Math.min(47, 4 * (octave - 2) + Math.floor(4 * (slope / 2 ** octave - 1)));
    const angle = (Math.atan2(ny, nx) / Math.PI) * 8;
    found.push([((Math.round(angle) % 8) + 8) % 8, strength, width]);
  }
  return found;
}
