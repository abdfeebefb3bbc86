import type { FocalSource } from "../../types/around.js";

/** The focal length that the whole set is solved with. */
export interface Lens {
  /** Over the focal lengths stated or assumed. */
  readonly factor: number;
  readonly source: FocalSource;
  /** Standard error of its logarithm. */
  readonly sigma: number;
}

/** Standard errors (of the logarithm) of a focal length from EXIF, which rounds it, and of the one assumed for a phone. */
const STATED_SIGMA = 0.02;
const ASSUMED_SIGMA = 0.1;
/** What a moving principal point and focus breathing leave uncertain however many points agree. */
const SYSTEMATIC_SIGMA = 0.01;
/** Wrong matches make the measured one this much less certain than its residuals say (measured on synthetic sets). */
const RESIDUAL_FACTOR = 2;
/** Beyond this many standard errors the stated focal length is not blurred but wrong: zoomed, cropped, another lens. */
const CONTRADICTION = 3;
/** A contradiction by a measurement vaguer than this is none. */
const LARGEST_TRUSTED_SIGMA = 0.1;
const LARGEST_FACTOR = 1.6;
/** A smaller change costs less than the angles' own noise. */
const WORTH_CHANGING = 0.01;

/**
 * Where neither EXIF nor the photos tell: props are photographed with 24 to 135 mm, so the one assumed may be wrong by a
 * factor of 1.65 and more.
 */
export const UNKNOWN_LENS: Lens = { factor: 1, source: "assumed", sigma: 0.5 };

/** What a set's photos say of their common focal length. */
export interface MeasuredFocal {
  /** Over the focal lengths stated or assumed. */
  readonly focalFactor: number;
  /** Standard error of its logarithm by the residuals; undefined where it is not determined. */
  readonly focalSigma?: number;
}

/**
 * The mean of the stated and the measured focal length, each by its certainty; the measured one alone where the two
 * contradict each other.
 *
 * @param knownRatio share of the photos whose focal length EXIF states, 0 to 1.
 */
export function judgeLens(measured: MeasuredFocal | undefined, knownRatio: number): Lens {
  const source: FocalSource = knownRatio === 1 ? "exif" : knownRatio === 0 ? "assumed" : "mixed";
  const stated = knownRatio * STATED_SIGMA + (1 - knownRatio) * ASSUMED_SIGMA;
  if (measured?.focalSigma === undefined) return { factor: 1, source, sigma: stated };
  const own = Math.hypot(RESIDUAL_FACTOR * measured.focalSigma, SYSTEMATIC_SIGMA);
  const off = Math.log(measured.focalFactor);
  if (Math.abs(off) > Math.log(LARGEST_FACTOR)) return { factor: 1, source, sigma: stated };
  const contradicted = Math.abs(off) > CONTRADICTION * Math.hypot(own, stated) && own < LARGEST_TRUSTED_SIGMA;
  const share = contradicted ? 1 : stated ** 2 / (stated ** 2 + own ** 2);
  const sigma = contradicted ? own : own * Math.sqrt(share);
  if (Math.abs(share * off) < WORTH_CHANGING) return { factor: 1, source, sigma };
  return { factor: Math.exp(share * off), source: "measured", sigma };
}
