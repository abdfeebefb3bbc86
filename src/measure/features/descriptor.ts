/**
 * Gradient histograms of 4 x 4 cells and 8 directions over a patch turned to the blob's direction, made binary:
 * 128 bits say which of two neighbouring directions is stronger in a cell, 128 which of two neighbouring cells is
 * stronger in a direction. Comparisons need no normalising and do not change with brightness or contrast.
 *
 * @see Lowe 2004, section 6, for the histograms; differs in the fixed patch, the split of a gradient into the two
 * nearest directions without trigonometry, and the comparisons instead of 128 numbers.
 */

/** Samples along the patch; gradients stand on the inner 16. */
const PATCH = 18;
const INNER = 16;
const CELLS = 4;
const DIRECTIONS = 8;
/** Width of a cell in sigmas of the blob. Lowe 2004 takes 3 (from memory); comparisons want more to go on. */
const CELL_SIGMAS = 4;
const SAMPLE_SIGMAS = (CELL_SIGMAS * CELLS) / INNER;
/** Window of the patch: half its width (Lowe 2004, section 6.1), in samples. */
const WINDOW_SAMPLES = INNER / 2;

const samples = new Float32Array(PATCH * PATCH);
const histogram = new Float32Array(CELLS * CELLS * DIRECTIONS);

/** For each inner sample, the four cells it feeds (as offsets into the histogram) and their weights. */
const cellOffset = new Int32Array(INNER * INNER * 4);
const cellWeight = new Float32Array(INNER * INNER * 4);
for (let y = 0; y < INNER; y++) {
  for (let x = 0; x < INNER; x++) {
    const dx = x - (INNER - 1) / 2;
    const dy = y - (INNER - 1) / 2;
    const window = Math.exp(-(dx * dx + dy * dy) / (2 * WINDOW_SAMPLES ** 2));
    const cx = (x + 0.5) / CELLS - 0.5;
    const cy = (y + 0.5) / CELLS - 0.5;
    for (let k = 0; k < 4; k++) {
      const ix = Math.floor(cx) + (k & 1);
      const iy = Math.floor(cy) + (k >> 1);
      const at = (y * INNER + x) * 4 + k;
      if (ix < 0 || iy < 0 || ix >= CELLS || iy >= CELLS) continue;
      cellOffset[at] = (iy * CELLS + ix) * DIRECTIONS;
      cellWeight[at] = window * (1 - Math.abs(cx - ix)) * (1 - Math.abs(cy - iy));
    }
  }
}

/** The cell each cell is compared with: right, or down, in turn, around the border. */
const neighbourOffset = Int32Array.from({ length: CELLS * CELLS }, (_, cell) => {
  const x = cell % CELLS;
  const y = Math.floor(cell / CELLS);
  const right = (x + y) % 2 === 0;
  const nx = right ? (x + 1) % CELLS : x;
  const ny = right ? y : (y + 1) % CELLS;
  return (ny * CELLS + nx) * DIRECTIONS;
});

/**
 * Writes the 256 bits of one blob to words[at] ... words[at + 7].
 *
 * @param image Gaussian level at the blob's scale, row-major
 * @param x position in pixels of `image`, as y
 * @param sigma the blob's scale in pixels of `image`
 * @param angle radians, y down
 * @param bright whether the blob is brighter than its ground: the highest bit of the last word
 */
export function describe(
  image: Float32Array,
  width: number,
  height: number,
  x: number,
  y: number,
  sigma: number,
  angle: number,
  bright: boolean,
  words: Uint32Array,
  at: number,
): void {
  samplePatch(image, width, height, x, y, SAMPLE_SIGMAS * sigma, angle);
  fillHistogram();
  writeBits(words, at);
  words[at + 7] = (bright ? words[at + 7] | 0x80000000 : words[at + 7] & 0x7fffffff) >>> 0;
}

/** Reads the turned 18 x 18 patch, bilinear; outside the picture the edge pixel repeats. */
function samplePatch(
  image: Float32Array,
  width: number,
  height: number,
  x: number,
  y: number,
  spacing: number,
  angle: number,
): void {
  const ux = Math.cos(angle) * spacing;
  const uy = Math.sin(angle) * spacing;
  const centre = (PATCH - 1) / 2;
  const maxX = width - 1.001;
  const maxY = height - 1.001;
  for (let v = 0; v < PATCH; v++) {
    let px = x - centre * ux - (v - centre) * uy;
    let py = y - centre * uy + (v - centre) * ux;
    for (let u = 0; u < PATCH; u++) {
      const qx = px < 0 ? 0 : px > maxX ? maxX : px;
      const qy = py < 0 ? 0 : py > maxY ? maxY : py;
      const ix = qx | 0;
      const iy = qy | 0;
      const fx = qx - ix;
      const fy = qy - iy;
      const i = iy * width + ix;
      const top = image[i] + fx * (image[i + 1] - image[i]);
      const bottom = image[i + width] + fx * (image[i + width + 1] - image[i + width]);
      samples[v * PATCH + u] = top + fy * (bottom - top);
      px += ux;
      py += uy;
    }
  }
}

/** Splits each gradient into the two of eight directions it lies between; the parts are its oblique coordinates. */
function fillHistogram(): void {
  histogram.fill(0);
  for (let y = 0; y < INNER; y++) {
    for (let x = 0; x < INNER; x++) {
      const i = (y + 1) * PATCH + x + 1;
      const gx = samples[i + 1] - samples[i - 1];
      const gy = samples[i + PATCH] - samples[i - PATCH];
      const ax = gx < 0 ? -gx : gx;
      const ay = gy < 0 ? -gy : gy;
      const diagonal = Math.SQRT2 * (ax < ay ? ax : ay);
      const straight = ax < ay ? ay - ax : ax - ay;
      const straightBin = ax < ay ? (gy < 0 ? 6 : 2) : gx < 0 ? 4 : 0;
      const diagonalBin = gx < 0 ? (gy < 0 ? 5 : 3) : gy < 0 ? 7 : 1;
      const k = (y * INNER + x) * 4;
      for (let c = k; c < k + 4; c++) {
        const weight = cellWeight[c];
        histogram[cellOffset[c] + straightBin] += weight * straight;
        histogram[cellOffset[c] + diagonalBin] += weight * diagonal;
      }
    }
  }
}

function writeBits(words: Uint32Array, at: number): void {
  for (let group = 0; group < 4; group++) {
    let turns = 0;
    let cells = 0;
    for (let k = 0; k < 4; k++) {
      const own = (group * 4 + k) * DIRECTIONS;
      const other = neighbourOffset[group * 4 + k];
      for (let d = 0; d < DIRECTIONS; d++) {
        const value = histogram[own + d];
        turns = (turns << 1) | (value > histogram[own + ((d + 1) & 7)] ? 1 : 0);
        cells = (cells << 1) | (value > histogram[other + d] ? 1 : 0);
      }
    }
    words[at + group] = turns >>> 0;
    words[at + 4 + group] = cells >>> 0;
  }
}
