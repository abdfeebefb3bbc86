import type { EdgeBlur } from "../measure/set/edge-blur.js";
import { type LimitTable, limit } from "./define.js";

/** Limits of every check that asks whether a photo's own edges are sharp. */
export const edgeLimits = {
  edge: limit(
    1.02,
    "px at 1920",
    "width of the sharpest 15 % of a photo's edges across the direction where they are widest: 226 fine photos of four real captures have 0.90 at the most, borderline ones up to 1.7, their 22 unusable ones 1.04 at the least: docs/evaluation-sharpness.md; under the unusable, since what is good enough is not to be refused",
  ),
  grown: limit(
    0.5,
    "px at 1920",
    "the unusable ones are 0.69 wider than the photos around them at the least, so that small or enlarged pictures, soft throughout, are not accused one by one: docs/evaluation-sharpness.md",
  ),
  even: limit(
    0.54,
    "ratio",
    "narrowest over widest direction: 15 shaken photos have 0.52 at the most, 7 out of focus 0.56 at the least: docs/evaluation-sharpness.md",
  ),
} as const;

export type EdgeLimits = LimitTable<keyof typeof edgeLimits>;

/** Whether a photo's own edges show that it is blurred. */
export function edgesBlurred(blur: EdgeBlur | undefined, limits: EdgeLimits): boolean {
  return (
    blur !== undefined &&
    blur.widestPx >= limits.edge.value &&
    (blur.grownPx === undefined || blur.grownPx >= limits.grown.value)
  );
}

/** Whether it was moved, and not out of focus: then edges along the way stay sharp. */
export function isShaken(blur: EdgeBlur, limits: EdgeLimits): boolean {
  return blur.narrowestPx < limits.even.value * blur.widestPx;
}

/** Ways of a movement in the upright picture, in steps of 22.5 degrees from along x, clockwise. */
const SLOPING = "from upper left to lower right";
const RISING = "from lower left to upper right";
const WAYS = ["sideways", SLOPING, SLOPING, SLOPING, "up and down", RISING, RISING, RISING] as const;

export function wayOf({ direction }: EdgeBlur): string {
  return WAYS[direction];
}
