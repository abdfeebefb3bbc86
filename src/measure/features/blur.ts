/** Kernels are cut here: beyond lies 0.8 % of the weight. Cutting at 3 costs a sixth more and finds no more matches. */
const TRUNCATE_SIGMAS = 2.65;

/**
 * Right half of a normalised Gaussian: weight 0 is the centre, weight k serves both k px left and right.
 *
 * @throws RangeError when sigma is not above 0.
 */
export function gaussianHalfKernel(sigmaPx: number): Float32Array {
  if (!(sigmaPx > 0)) throw new RangeError(`sigma must be above 0, not ${sigmaPx}`);
  const radius = Math.max(1, Math.ceil(TRUNCATE_SIGMAS * sigmaPx - 0.25));
  const half = new Float64Array(radius + 1);
  let sum = 0;
  for (let k = 0; k <= radius; k++) {
    half[k] = Math.exp((-k * k) / (2 * sigmaPx * sigmaPx));
    sum += k === 0 ? half[k] : 2 * half[k];
  }
  return Float32Array.from(half, (weight) => weight / sum);
}
