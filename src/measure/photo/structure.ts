import type { NoiseGain } from "./bands.js";

/** Fine over mid band energy, noise removed. Nothing where there is no structure to judge. */
export interface BandRatios {
  /** Whole frame. */
  readonly whole: number | undefined;
  /** One a tile, row-major. */
  readonly tiles: (number | null)[];
  /**
   * Mean of the sharpest twentieth of the tiles with structure (at least one): something in a focused photo
   * is sharp, however plain most of it is, so this tells a set that is soft throughout from a plain one.
   */
  readonly sharpest: number | undefined;
}

/** Mid band energy must stand this many times above the share of noise for a ratio to mean anything. */
const STRUCTURE_OVER_NOISE = 4;

/** And this high, grey levels squared: contrast of one grey level. */
const LEAST_STRUCTURE = 1;

/**
 * @param fine mean energy of the fine band in each tile, grey levels squared, noise still in
 * @param mid the same of the mid band
 * @param noiseVariance variance of the noise in surface.luma, grey levels squared
 */
export function bandRatios(
  fine: Float64Array,
  mid: Float64Array,
  noiseGain: NoiseGain,
  noiseVariance: number,
): BandRatios {
  const fineNoise = noiseGain.fine * noiseVariance;
  const midNoise = noiseGain.mid * noiseVariance;
  const ratio = (f: number, m: number): number | null =>
    m - midNoise < Math.max(LEAST_STRUCTURE, STRUCTURE_OVER_NOISE * midNoise)
      ? null
      : Math.max(0, f - fineNoise) / (m - midNoise);
  const tiles = Array.from(fine, (f, i) => ratio(f, mid[i]));
  const withStructure = tiles.filter((value) => value !== null).sort((a, b) => b - a);
  const sharpest = withStructure.slice(0, Math.max(1, Math.round(withStructure.length / 20)));
  return {
    whole: ratio(mean(fine), mean(mid)) ?? undefined,
    tiles,
    sharpest: sharpest.length === 0 ? undefined : mean(sharpest),
  };
}

function mean(values: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i];
  return sum / values.length;
}
