/**
 * Linear light of an 8-bit sRGB code value, 0 to 1.
 * @see IEC 61966-2-1: V <= 0.04045: V / 12.92; else ((V + 0.055) / 1.055)^2.4.
 */
export const LINEAR_OF_CODE: Float64Array = Float64Array.from({ length: 256 }, (_, code) => {
  const v = code / 255;
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
});

/** Weights of linear red, green and blue in luminance. @see ITU-R BT.709. */
export const LUMINANCE_WEIGHTS = [0.2126, 0.7152, 0.0722] as const;

/**
 * A code value at or above this counts as clipped: the last 2 % of the code range, since the ringing of
 * JPEG pulls pixels of a clipped area a few codes below 255.
 */
export const CLIPPED_CODE = 250;

/**
 * A code value a stop under white (linear 0.5). Where two channels are clipped and the third is under this, it still holds
 * the surface's detail: yellow plastic under a lamp clips in red and green with every edge to be seen in blue.
 */
export const NEAR_TOP_CODE = 188;

/** A code value at or below this counts as blocked: the mirror of CLIPPED_CODE. */
export const BLOCKED_CODE = 5;
