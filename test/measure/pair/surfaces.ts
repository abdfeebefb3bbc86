import { createFeatures, PATCH_FIELDS } from "#goodgate/measure/features/features.js";
import type { Features } from "#goodgate/types/photo.js";
import { seededNormal, seededRandom } from "../../support/arrays.js";

/** Random matched and unmatched points of two made-up photos: no pictures needed. */
export interface MadePair {
  readonly a: Features;
  readonly b: Features;
  /** Index in a, index in b, and so on. */
  readonly matches: Int32Array;
  /** How many of the matches, from the first, are right. */
  readonly right: number;
}

export interface MadeOptions {
  readonly seed: number;
  readonly right: number;
  readonly wrong: number;
  /** Where point (x, y) at depth 0..1 of a is seen in b, px. */
  readonly see: (x: number, y: number, depth: number) => readonly [number, number];
  readonly noisePx?: number;
  /** Added to the direction of right matches, radians. */
  readonly turn?: number;
}

/** Photos of 1200 x 900 px; right matches follow `see`, wrong ones are anywhere, with any direction and scale. */
export function madePair({ seed, right, wrong, see, noisePx = 0.5, turn = 0 }: MadeOptions): MadePair {
  const random = seededRandom(seed);
  const normal = seededNormal(seed + 1);
  const count = right + wrong;
  const a = createFeatures(count, 1200, 900);
  const b = createFeatures(count, 1200, 900);
  const matches = new Int32Array(2 * count);
  for (let i = 0; i < count; i++) {
    a.x[i] = 1199 * random();
    a.y[i] = 899 * random();
    a.scale[i] = 2 * 2 ** (2 * random());
    a.angle[i] = Math.PI * (2 * random() - 1);
    const [x, y] = see(a.x[i], a.y[i], random());
    const isRight = i < right;
    b.x[i] = isRight ? x + noisePx * normal() : 1199 * random();
    b.y[i] = isRight ? y + noisePx * normal() : 899 * random();
    b.scale[i] = isRight ? a.scale[i] * 2 ** (0.1 * normal()) : 2 * 2 ** (2 * random());
    b.angle[i] = isRight ? a.angle[i] + turn + 0.1 * normal() : Math.PI * (2 * random() - 1);
    matches[2 * i] = i;
    matches[2 * i + 1] = i;
  }
  return { a, b, matches, right };
}

/** A camera that moves sideways past points 1 to 3 units deep, and turns a little. */
export function sideStep(x: number, y: number, depth: number): readonly [number, number] {
  const z = 1 + 2 * depth;
  const [u, v] = [(x - 600) / 1000, (y - 450) / 1000];
  const [p, q, r] = [u * z - 0.3, v * z + 0.05, z + 0.08];
  const [cos, sin] = [Math.cos(0.15), Math.sin(0.15)];
  const w = -sin * p + cos * r;
  return [600 + (1000 * (cos * p + sin * r)) / w, 450 + (1000 * q) / w];
}

/** A tilted plane: any homography near enough the identity. */
export function tilted(x: number, y: number): readonly [number, number] {
  const w = 1 + 1e-4 * x - 5e-5 * y;
  return [(0.95 * x + 0.05 * y + 60) / w, (-0.04 * x + 1.02 * y - 30) / w];
}

/** Gives each keypoint the patch of six numbers that `patch` says. */
export function paint(features: Features, patch: (index: number) => readonly number[]): void {
  for (let i = 0; i < features.count; i++) features.patches.set(patch(i), i * PATCH_FIELDS);
}
