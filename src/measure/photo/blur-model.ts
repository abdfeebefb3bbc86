/**
 * How much fine detail a blur takes, for a picture whose detail follows the 1/f^2 power law of natural scenes and
 * whose edges are already as soft as a Gaussian of sigma s. With bands cut by Gaussians of sigma 1 and 3, the
 * integrals over all frequencies have closed forms.
 *
 * @see Field 1987, "Relations between the statistics of natural images and the response properties of cortical
 *   cells", JOSA A 4:2379 (the power law; from memory)
 */

/** Energy of the fine band (detail under sigma 1), up to a factor that the mid band shares. */
function fineEnergy(variance: number): number {
  return 0.5 * (2 * Math.log(variance + 0.5) - Math.log(variance) - Math.log(variance + 1));
}

/** Energy of the mid band (sigma 1 to sigma 3), with the same factor. */
function midEnergy(variance: number): number {
  return 0.5 * (2 * Math.log(variance + 5) - Math.log(variance + 1) - Math.log(variance + 9));
}

const SHARPEST_PX = 0.2;
const SOFTEST_PX = 8;

/**
 * Sigma of the Gaussian that leaves this ratio of fine to mid energy: falls as the ratio rises.
 *
 * @param bandRatio fine over mid energy, > 0
 * @returns px at a long edge of 1920 px, 0.2 to 8
 */
export function blurOfRatio(bandRatio: number): number {
  return bisect((sigma) => fineEnergy(sigma * sigma) / midEnergy(sigma * sigma) - bandRatio);
}

/**
 * Sigma of the Gaussian that takes `drop` stops of fine energy off a picture with this band ratio. A crisp picture
 * loses much to a small blur, one that is softer from the start loses little: the sigma compares the two.
 *
 * @param dropStops log2 of fine energy before over after; 0 or less gives 0
 * @param bandRatio fine over mid energy before, > 0
 * @returns px at a long edge of 1920 px, 0 and up
 */
export function addedBlur(dropStops: number, bandRatio: number): number {
  if (dropStops <= 0) return 0;
  const before = blurOfRatio(bandRatio);
  const left = fineEnergy(before * before) * 2 ** -dropStops;
  const after = bisect((sigma) => fineEnergy(sigma * sigma) - left);
  return Math.sqrt(Math.max(0, after * after - before * before));
}

/** Where a falling function crosses 0 between SHARPEST_PX and SOFTEST_PX; the nearer end where it does not. */
function bisect(falling: (sigma: number) => number): number {
  let low = SHARPEST_PX;
  let high = SOFTEST_PX;
  for (let step = 0; step < 50; step++) {
    const middle = (low + high) / 2;
    if (falling(middle) > 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
