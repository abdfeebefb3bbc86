import { LINEAR_OF_CODE } from "../measure/photo/tone.js";
import type { Gains } from "../measure/set/correction.js";
import type { RgbImage } from "../types/pixels.js";

/** Linear light from which a picture that is made brighter bends towards white instead of being cut off there. */
const SHOULDER = 0.8;
/** A prime, so that rows do not repeat it. */
const NOISE_LENGTH = 65_521;
const NOISE = noise(NOISE_LENGTH);

/**
 * Multiplies the linear light of a picture, in place. Between two code values the nearer is taken the more often, by a
 * fixed pattern of noise, so that even areas do not fall into steps. Nothing is sharpened or smoothed; a gain of 1 leaves
 * its channel as it is.
 *
 * @param image 8-bit code values of sRGB's curve (Display P3 has the same)
 * @throws RangeError where a gain is not a positive number
 * @see IEC 61966-2-1 for the curve; Roberts 1962, "Picture coding using pseudo-random noise", for the noise (from memory)
 */
export function level({ data }: RgbImage, { red, green, blue }: Gains): void {
  const tables = [red, green, blue].map(tableOf);
  let n = 0;
  for (let i = 0; i < data.length; i += 3) {
    for (let channel = 0; channel < 3; channel++) {
      const { base, part } = tables[channel];
      const code = data[i + channel];
      data[i + channel] = base[code] + (part[code] > NOISE[n] ? 1 : 0);
      n = n + 1 === NOISE_LENGTH ? 0 : n + 1;
    }
  }
}

/** Of each code value the whole part of what it becomes, and the rest in 256ths. */
function tableOf(gain: number): { base: Uint8Array; part: Uint8Array } {
  if (!(gain > 0) || !Number.isFinite(gain)) throw new RangeError(`expected a gain over 0, found ${gain}`);
  const base = new Uint8Array(256);
  const part = new Uint8Array(256);
  for (let code = 0; code < 256; code++) {
    const wanted = gain === 1 ? code : codeOf(shouldered(gain * LINEAR_OF_CODE[code], gain));
    base[code] = Math.floor(wanted);
    part[code] = Math.floor((wanted - base[code]) * 256);
  }
  return { base, part };
}

/** Linear light that comes to rest at white; below the shoulder, and in what is made darker, as it is. */
function shouldered(light: number, gain: number): number {
  if (gain <= 1 || light <= SHOULDER) return light;
  return 1 - (1 - SHOULDER) * Math.exp(-(light - SHOULDER) / (1 - SHOULDER));
}

/** The code value of linear light, not rounded. @see IEC 61966-2-1 */
function codeOf(light: number): number {
  const value = light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055;
  return Math.min(255, Math.max(0, 255 * value));
}

/** Even noise, 0 to 255; the same in every run (a linear congruential generator, Numerical Recipes' constants). */
function noise(length: number): Uint8Array {
  const values = new Uint8Array(length);
  let state = 1;
  for (let i = 0; i < length; i++) {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    values[i] = state >>> 24;
  }
  return values;
}
