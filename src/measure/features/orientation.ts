/** Histogram bins over the full turn (Lowe 2004, section 5). */
const BINS = 36;
/** A second direction is kept at this share of the strongest (Lowe 2004, section 5). */
const SECOND_PEAK = 0.8;
/** Samples each way from the centre, and their distance in sigmas: out to 4.2 sigma. */
const REACH = 7;
const SPACING_SIGMAS = 0.6;
/** Window of the histogram, in sigmas (Lowe 2004, section 5). */
const WINDOW_SIGMAS = 1.5;

const SIDE = 2 * REACH + 1;
const WINDOW = Float32Array.from({ length: SIDE * SIDE }, (_, i) => {
  const x = ((i % SIDE) - REACH) * SPACING_SIGMAS;
  const y = (Math.floor(i / SIDE) - REACH) * SPACING_SIGMAS;
  return Math.exp(-(x * x + y * y) / (2 * WINDOW_SIGMAS ** 2));
});

const raw = new Float32Array(BINS);
const smooth = new Float32Array(BINS);

/**
 * Dominant gradient directions around a point, at most two, strongest first.
 *
 * @param image Gaussian level at the blob's scale, row-major
 * @param sigma the blob's scale in pixels of `image`
 * @param out receives radians in (-pi, pi], y down: 0 where brightness rises to the right
 * @returns how many directions were found: 0 for a flat image
 */
export function dominantDirections(
  image: Float32Array,
  width: number,
  height: number,
  x: number,
  y: number,
  sigma: number,
  out: Float32Array,
): number {
  fillHistogram(image, width, height, x, y, sigma);
  smoothTwice();
  let best = -1;
  let second = -1;
  for (let k = 0; k < BINS; k++) {
    const v = smooth[k];
    if (v <= 0 || v < smooth[(k + BINS - 1) % BINS] || v <= smooth[(k + 1) % BINS]) continue;
    if (best < 0 || v > smooth[best]) {
      second = best;
      best = k;
    } else if (second < 0 || v > smooth[second]) second = k;
  }
  if (best < 0) return 0;
  out[0] = peakAngle(best);
  if (second < 0 || smooth[second] < SECOND_PEAK * smooth[best]) return 1;
  out[1] = peakAngle(second);
  return 2;
}

function fillHistogram(
  image: Float32Array,
  width: number,
  height: number,
  x: number,
  y: number,
  sigma: number,
): void {
  raw.fill(0);
  const spacing = SPACING_SIGMAS * sigma;
  const toBin = BINS / (2 * Math.PI);
  let w = 0;
  for (let v = -REACH; v <= REACH; v++) {
    const py = Math.round(y + v * spacing);
    if (py < 1 || py > height - 2) {
      w += SIDE;
      continue;
    }
    for (let u = -REACH; u <= REACH; u++, w++) {
      const px = Math.round(x + u * spacing);
      if (px < 1 || px > width - 2) continue;
      const i = py * width + px;
      const gx = image[i + 1] - image[i - 1];
      const gy = image[i + width] - image[i - width];
      const at = (Math.atan2(gy, gx) + Math.PI) * toBin;
      const low = Math.floor(at);
      const share = at - low;
      const weight = WINDOW[w] * Math.sqrt(gx * gx + gy * gy);
      raw[low % BINS] += weight * (1 - share);
      raw[(low + 1) % BINS] += weight * share;
    }
  }
}

/** [1 4 6 4 1] / 16 around the circle. */
function smoothTwice(): void {
  for (let k = 0; k < BINS; k++) {
    smooth[k] =
      (6 * raw[k] +
        4 * (raw[(k + 1) % BINS] + raw[(k + BINS - 1) % BINS]) +
        raw[(k + 2) % BINS] +
        raw[(k + BINS - 2) % BINS]) /
      16;
  }
}

/** Parabola through the peak and its neighbours. */
function peakAngle(bin: number): number {
  const left = smooth[(bin + BINS - 1) % BINS];
  const right = smooth[(bin + 1) % BINS];
  const bend = left - 2 * smooth[bin] + right;
  const at = bin + (bend === 0 ? 0 : (0.5 * (left - right)) / bend);
  const angle = (at / BINS) * 2 * Math.PI - Math.PI;
  return angle <= -Math.PI ? angle + 2 * Math.PI : angle;
}
