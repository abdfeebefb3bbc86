/** Points moved to centroid 0 and mean distance sqrt 2. */
export interface NormalisedPoints {
  /** x, y interleaved, as given. */
  readonly points: Float64Array;
  /** normalised = scale * (point - centre) */
  readonly scale: number;
  readonly centreX: number;
  readonly centreY: number;
}

/**
 * Hartley's normalisation, which makes the linear estimates of homographies and fundamental matrices well behaved.
 *
 * @param points x, y interleaved; points that all coincide get scale 1
 * @see Hartley 1997, In Defense of the Eight-Point Algorithm, section 4
 */
export function normalisePoints(points: ArrayLike<number>): NormalisedPoints {
  const count = points.length >> 1;
  let centreX = 0;
  let centreY = 0;
  for (let i = 0; i < count; i++) {
    centreX += points[2 * i];
    centreY += points[2 * i + 1];
  }
  centreX /= count;
  centreY /= count;
  let distance = 0;
  for (let i = 0; i < count; i++) {
    const dx = points[2 * i] - centreX;
    const dy = points[2 * i + 1] - centreY;
    distance += Math.sqrt(dx * dx + dy * dy);
  }
  const scale = distance > 0 ? (Math.SQRT2 * count) / distance : 1;
  const out = new Float64Array(2 * count);
  for (let i = 0; i < count; i++) {
    out[2 * i] = scale * (points[2 * i] - centreX);
    out[2 * i + 1] = scale * (points[2 * i + 1] - centreY);
  }
  return { points: out, scale, centreX, centreY };
}
