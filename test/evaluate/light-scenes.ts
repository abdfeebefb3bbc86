/** Rendered rings whose light can be mixed afterwards: light adds up, so one picture a lamp is enough for any balance. */
import type { LinearImage } from "#goodgate/demo/faults.js";
import { develop, phoneNoise } from "#goodgate/demo/faults.js";
import { cleanDemo, type LampSetup, type SetOptions } from "#goodgate/demo/options.js";
import { planSet, type SetPlan } from "#goodgate/demo/plan.js";
import { renderLinear, sceneOf } from "#goodgate/demo/render.js";
import { truthOf } from "#goodgate/demo/truth.js";
import type { Region } from "#goodgate/measure/light/region.js";
import type { Cells, RgbImage } from "#goodgate/types.js";

export const RING_PHOTOS = 24;

/** Directions of the lamps of the renderer's set-ups, clockwise from +y. */
export const ONE_LAMP_DEG = (Math.atan2(-1.5, 0.6) * 180) / Math.PI + 360;

export function ringOptions(
  subject: SetOptions["subject"],
  seed: number,
  more: Partial<SetOptions> = {},
): SetOptions {
  return {
    ...cleanDemo,
    seed,
    subject,
    widthPx: 900,
    heightPx: 675,
    rings: [
      { elevationDeg: 12 + (seed % 3) * 8, photos: RING_PHOTOS, startDeg: (seed * 67) % 360, spanDeg: 360 },
    ],
    ...more,
  };
}

/** One pose under each of several lights, in radiance (the renderer's own exposure taken out). */
export interface LitPose {
  readonly lights: readonly LinearImage[];
  readonly mask: Uint8Array;
}

export interface LitRing {
  readonly plan: SetPlan;
  readonly azimuthDeg: readonly number[];
  readonly pose: (index: number) => LitPose;
}

/** A ring that is drawn under each set-up; the plan does not depend on the light. */
export function litRing(
  options: SetOptions,
  setups: readonly { lamps: LampSetup; lampRatioStops?: number; material?: SetOptions["material"] }[],
): LitRing {
  const plans = setups.map((setup) => planSet({ ...options, ...setup }));
  return {
    plan: plans[0],
    azimuthDeg: truthOf(plans[0]).photos.map(({ azimuthDeg }) => azimuthDeg!),
    pose: (index) => {
      const drawn = plans.map((plan) => {
        const { image, mask } = renderLinear(plan, index);
        const { exposure } = sceneOf(plan.options);
        for (let i = 0; i < image.data.length; i++) image.data[i] /= exposure;
        return { image, mask };
      });
      return { lights: drawn.map(({ image }) => image), mask: drawn[0].mask };
    },
  };
}

/** The sum of some lights, each by its factor, times a common gain. */
export function mix(lights: readonly LinearImage[], factors: readonly number[], gain: number): LinearImage {
  const { width, height } = lights[0];
  const data = new Float32Array(3 * width * height);
  for (const [k, light] of lights.entries()) {
    const factor = factors[k] * gain;
    if (factor === 0) continue;
    for (let i = 0; i < data.length; i++) data[i] += factor * light.data[i];
  }
  for (let i = 0; i < data.length; i++) if (data[i] < 0) data[i] = 0;
  return { width, height, data };
}

export function luminances(image: LinearImage, mask: Uint8Array): Float64Array {
  const out: number[] = [];
  for (let p = 0; p < mask.length; p++) {
    if (mask[p] <= 127) continue;
    out.push(0.2126 * image.data[3 * p] + 0.7152 * image.data[3 * p + 1] + 0.0722 * image.data[3 * p + 2]);
  }
  return Float64Array.from(out).sort();
}

/** log2 of the median luminance of the subject's pixels: the definition of a photo's brightness. */
export function trueStops(image: LinearImage, mask: Uint8Array): number {
  const sorted = luminances(image, mask);
  return Math.log2(sorted[sorted.length >> 1]);
}

/** The subject's mask on a grid of cells. */
export function regionOfMask(mask: Uint8Array, width: number, height: number, cells: Cells): Region {
  const { columns, rows } = cells;
  const share = new Float32Array(columns * rows);
  const count = new Float32Array(columns * rows);
  for (let y = 0; y < height; y++) {
    const row = Math.min(rows - 1, Math.floor((y * rows) / height));
    for (let x = 0; x < width; x++) {
      const cell = row * columns + Math.min(columns - 1, Math.floor((x * columns) / width));
      share[cell] += mask[y * width + x] / 255;
      count[cell]++;
    }
  }
  for (let i = 0; i < share.length; i++) share[i] /= count[i];
  return { columns, rows, share };
}

/** As the phone shows it: noise, clipping, 8 bits. */
export function shoot(image: LinearImage, seed: number): RgbImage {
  return develop(image, phoneNoise(125), seed);
}
