/**
 * Random samples needed so that at least one is free of outliers with the given confidence.
 *
 * @param inlierRatio share of the points that are right, 0 to 1
 * @param sampleSize points in a sample, >= 1
 * @param confidence 0 to 1, both ends excluded
 * @returns at least 1; Infinity when nothing is right
 * @throws RangeError when an argument is out of range
 * @see Hartley and Zisserman 2004, Multiple View Geometry, equation 4.18 and table 4.3
 */
export function sampleCount(inlierRatio: number, sampleSize: number, confidence: number): number {
  if (!(inlierRatio >= 0 && inlierRatio <= 1))
    throw new RangeError(`inlier ratio ${inlierRatio} is not in [0, 1]`);
  if (!(sampleSize >= 1)) throw new RangeError(`sample size ${sampleSize} is below 1`);
  if (!(confidence > 0 && confidence < 1)) throw new RangeError(`confidence ${confidence} is not in (0, 1)`);
  const clean = inlierRatio ** sampleSize;
  if (clean >= 1) return 1;
  if (clean <= 0) return Number.POSITIVE_INFINITY;
  return Math.max(1, Math.ceil(Math.log(1 - confidence) / Math.log1p(-clean)));
}
