import type { ColourDrift } from "../../types/pair.js";
import type { Features } from "../../types/photo.js";
import {
  PATCH_BLUE,
  PATCH_FIELDS,
  PATCH_FINE_ENERGY,
  PATCH_GREEN,
  PATCH_MID_ENERGY,
  PATCH_RED,
  PATCH_SATURATED_RATIO,
} from "../features/features.js";
import { median } from "../statistics.js";

/** Fewer patches than this give no drift: the median of a handful wanders with single highlights. */
export const FEWEST_PATCHES = 12;
/** Patches with a larger share of pixels at the top are dropped: clipping hides the change. */
const MOST_SATURATED_RATIO = 0.02;
/** Linear light below this (about 1 grey level of 255 in sRGB code) is noise, not a surface. */
const DARKEST_LINEAR = 0.0005;
/** Band energy below this (grey levels squared) is rounding and noise, not structure. */
const LEAST_ENERGY = 0.05;
/**
 * Stops of energy in code values for each stop of light: sRGB coding is close to a power of 1 / 2.2 (IEC 61966-2-1),
 * contrast in codes follows it, and energy is its square.
 */
const CODE_ENERGY_PER_LIGHT = 2 / 2.2;

/** Median change over the verified matches' surface, b over a. */
export interface Drift {
  /** log2 of linear luminance (.2126 red + .7152 green + .0722 blue, ITU-R BT.709). */
  readonly exposureDriftStops?: number;
  readonly colourDrift?: ColourDrift;
  /** log2 of the fine over mid band energy: tells defocus from texture whatever the contrast. */
  readonly relativeSharpness?: number;
  /**
   * log2 of the fine band energy, with what the change of light explains taken out: shake takes both bands along its
   * path, so it hides from their ratio and shows here.
   */
  readonly relativeDetail?: number;
}

/**
 * Compares the surface around verified matches. The same surface is compared, so what is in the frame does not
 * matter; swapping a and b negates every value.
 *
 * @param inliers verified matches: index in a, index in b, and so on
 * @returns a value is absent where fewer than FEWEST_PATCHES patches can be compared
 */
export function measureDrift(a: Features, b: Features, inliers: Int32Array): Drift {
  const count = inliers.length >> 1;
  const luminance = new Float64Array(count);
  const red = new Float64Array(count);
  const blue = new Float64Array(count);
  const sharpness = new Float64Array(count);
  const detail = new Float64Array(count);
  let lit = 0;
  let coloured = 0;
  let structured = 0;
  for (let k = 0; k < count; k++) {
    const p = inliers[2 * k] * PATCH_FIELDS;
    const q = inliers[2 * k + 1] * PATCH_FIELDS;
    if (isClipped(a.patches, p) || isClipped(b.patches, q)) continue;
    const lightA = luminanceOf(a.patches, p);
    const lightB = luminanceOf(b.patches, q);
    if (lightA > DARKEST_LINEAR && lightB > DARKEST_LINEAR) luminance[lit++] = Math.log2(lightB / lightA);
    if (hasColour(a.patches, p) && hasColour(b.patches, q)) {
      const green = Math.log2(b.patches[q + PATCH_GREEN] / a.patches[p + PATCH_GREEN]);
      red[coloured] = Math.log2(b.patches[q + PATCH_RED] / a.patches[p + PATCH_RED]) - green;
      blue[coloured++] = Math.log2(b.patches[q + PATCH_BLUE] / a.patches[p + PATCH_BLUE]) - green;
    }
    if (hasStructure(a.patches, p) && hasStructure(b.patches, q)) {
      detail[structured] =
        Math.log2(fineEnergyOf(b.patches, q) / fineEnergyOf(a.patches, p)) -
        CODE_ENERGY_PER_LIGHT *
          Math.log2(Math.max(lightB, DARKEST_LINEAR) / Math.max(lightA, DARKEST_LINEAR));
      sharpness[structured++] = Math.log2(bandRatioOf(b.patches, q) / bandRatioOf(a.patches, p));
    }
  }
  return {
    ...(lit >= FEWEST_PATCHES && { exposureDriftStops: median(luminance.subarray(0, lit)) }),
    ...(coloured >= FEWEST_PATCHES && {
      colourDrift: {
        redStops: median(red.subarray(0, coloured)),
        blueStops: median(blue.subarray(0, coloured)),
      },
    }),
    ...(structured >= FEWEST_PATCHES && {
      relativeSharpness: median(sharpness.subarray(0, structured)),
      relativeDetail: median(detail.subarray(0, structured)),
    }),
  };
}

function luminanceOf(patches: Float32Array, at: number): number {
  return (
    0.2126 * patches[at + PATCH_RED] + 0.7152 * patches[at + PATCH_GREEN] + 0.0722 * patches[at + PATCH_BLUE]
  );
}

function isClipped(patches: Float32Array, at: number): boolean {
  return patches[at + PATCH_SATURATED_RATIO] > MOST_SATURATED_RATIO;
}

function hasColour(patches: Float32Array, at: number): boolean {
  return (
    patches[at + PATCH_RED] > DARKEST_LINEAR &&
    patches[at + PATCH_GREEN] > DARKEST_LINEAR &&
    patches[at + PATCH_BLUE] > DARKEST_LINEAR
  );
}

function hasStructure(patches: Float32Array, at: number): boolean {
  // A blurred patch has little fine energy, and that is the measurement: only the mid band must hold structure.
  return patches[at + PATCH_MID_ENERGY] > LEAST_ENERGY;
}

/** The floor keeps a wholly smooth patch finite. */
function fineEnergyOf(patches: Float32Array, at: number): number {
  return Math.max(patches[at + PATCH_FINE_ENERGY], 1e-4);
}

function bandRatioOf(patches: Float32Array, at: number): number {
  return fineEnergyOf(patches, at) / patches[at + PATCH_MID_ENERGY];
}
