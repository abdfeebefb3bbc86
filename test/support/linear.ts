import { type LinearImage, scaleChannels } from "#goodgate/demo/faults.js";
import type { RgbImage } from "#goodgate/types/pixels.js";

/** sRGB decoding of an 8-bit value to linear light, 0 to 1. @see IEC 61966-2-1:1999 */
export function decodeSrgb(code: number): number {
  const value = code / 255;
  return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
}

/** A real 8-bit picture as linear light, so that the same faults can be put into it. */
export function lineariseRgb(image: RgbImage): LinearImage {
  const table = Float32Array.from({ length: 256 }, (_, code) => decodeSrgb(code));
  const data = new Float32Array(image.data.length);
  for (let i = 0; i < data.length; i++) data[i] = table[image.data[i]];
  return { width: image.width, height: image.height, data };
}

/** Exposure step: +1 stop doubles the light. */
export function stepExposure(image: LinearImage, stops: number): LinearImage {
  return scaleChannels(image, { red: stops, green: stops, blue: stops });
}
