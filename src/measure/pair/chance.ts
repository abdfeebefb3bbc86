/**
 * How unlikely it is that chance alone gives as many inliers: the expected number of models, over all samples that
 * could have been drawn, with at least that many. The a-contrario bound of Moisan and Stival 2004 (A Probabilistic
 * Criterion to Detect Rigid Point Matches...), with one difference: the chance of a single match is not taken from
 * the area of the tolerance band but counted on wrongly paired keypoints of the same two photos, so that crowded
 * keypoints count for what they are.
 *
 * @param count matches
 * @param inliers of them within the tolerance
 * @param sampleSize matches that fix a model
 * @param models models one sample gives at most
 * @param chance share of wrong pairs within the tolerance, above 0 and below 1
 * @returns -log10 of that number: 0 or less where chance explains it; each further step is ten times less likely
 */
export function evidenceAgainstChance(
  count: number,
  inliers: number,
  sampleSize: number,
  models: number,
  chance: number,
): number {
  if (inliers <= sampleSize) return 0;
  const log10 =
    Math.log10(models * (count - sampleSize)) +
    log10Choose(count, inliers) +
    log10Choose(inliers, sampleSize) +
    (inliers - sampleSize) * Math.log10(chance);
  return -log10;
}

/** log10 of the ways to choose k of n. */
export function log10Choose(n: number, k: number): number {
  let sum = 0;
  const few = Math.min(k, n - k);
  for (let i = 1; i <= few; i++) sum += Math.log10((n - few + i) / i);
  return sum;
}
