import { BASE_SIGMA, LEVELS, type Octave } from "./pyramid.js";

/** A blob found in scale space. */
export interface Blob {
  /** Pixels of the pyramid's base. */
  readonly x: number;
  readonly y: number;
  /** Gaussian scale, px of the pyramid's base. */
  readonly sigma: number;
  /** Difference of Gaussians at the extremum, negative for a bright blob. Grey runs 0 to 1. */
  readonly response: number;
  readonly octave: number;
  /** Place among the octave's Gaussians, with a fraction. */
  readonly place: number;
}

/** Ratio of principal curvatures above which a blob is an edge (Lowe 2004, section 4.1). */
const EDGE_RATIO = 10;
const EDGE_LIMIT = (EDGE_RATIO + 1) ** 2 / EDGE_RATIO;
/** Pixels next to the border that are not searched. */
const BORDER = 5;
/** Steps the refinement may walk to a neighbouring pixel or level. */
const MAX_MOVES = 4;
/** Differences of Gaussians in an octave, at most. */
const MOST_DIFFERENCES = LEVELS + 2;

/**
 * Extrema of the difference of Gaussians in position and scale, refined to a fraction of a pixel.
 *
 * @param contrast smallest |difference of Gaussians| kept, grey 0 to 1
 * @returns in scan order, octave by octave; empty for a flat image
 * @see Lowe 2004, sections 3.1 and 4
 */
export function findBlobs(octaves: readonly Octave[], contrast: number): Blob[] {
  const blobs: Blob[] = [];
  if (octaves.length === 0) return blobs;
  const largest = octaves[0].width * octaves[0].height;
  const room = Array.from({ length: MOST_DIFFERENCES }, () => new Float32Array(largest));
  const found = new Int32Array(largest >> 2);
  octaves.forEach((octave, index) => {
    const { width, height, gaussians } = octave;
    const size = width * height;
    const differences = room.slice(0, gaussians.length - 1).map((array) => array.subarray(0, size));
    differences.forEach((out, k) => {
      subtract(gaussians[k + 1], gaussians[k], out, size);
    });
    const seen = new Set<number>();
    for (let k = 1; k < differences.length - 1; k++) {
      const [low, mid, high] = [differences[k - 1], differences[k], differences[k + 1]];
      // The refined extremum may be higher than the pixel it was found at.
      const count = scanLevel(low, mid, high, width, height, 0.8 * contrast, found);
      for (let f = 0; f < count; f++) {
        const x = found[f] % width;
        const y = (found[f] - x) / width;
        const blob = refine(octave, index, differences, x, y, k, contrast, seen);
        if (blob) blobs.push(blob);
      }
    }
  });
  return blobs;
}

function subtract(a: Float32Array, b: Float32Array, out: Float32Array, size: number): void {
  for (let i = 0; i < size; i++) out[i] = a[i] - b[i];
}

/** Pixels of `mid` beyond +-floor that are extrema among their 26 neighbours; returns how many. */
function scanLevel(
  low: Float32Array,
  mid: Float32Array,
  high: Float32Array,
  width: number,
  height: number,
  floor: number,
  found: Int32Array,
): number {
  let count = 0;
  for (let y = BORDER; y < height - BORDER; y++) {
    const row = y * width;
    for (let i = row + BORDER; i < row + width - BORDER; i++) {
      const v = mid[i];
      if (v > floor) {
        if (v < mid[i - 1] || v < mid[i + 1] || !isMaximum(low, mid, high, i, width, v)) continue;
      } else if (v < -floor) {
        if (v > mid[i - 1] || v > mid[i + 1] || !isMinimum(low, mid, high, i, width, v)) continue;
      } else continue;
      if (count < found.length) found[count++] = i;
    }
  }
  return count;
}

function isMaximum(
  low: Float32Array,
  mid: Float32Array,
  high: Float32Array,
  i: number,
  w: number,
  v: number,
): boolean {
  return (
    v >= mid[i - w - 1] &&
    v >= mid[i - w] &&
    v >= mid[i - w + 1] &&
    v >= mid[i + w - 1] &&
    v >= mid[i + w] &&
    v >= mid[i + w + 1] &&
    v >= low[i] &&
    v >= low[i - 1] &&
    v >= low[i + 1] &&
    v >= low[i - w - 1] &&
    v >= low[i - w] &&
    v >= low[i - w + 1] &&
    v >= low[i + w - 1] &&
    v >= low[i + w] &&
    v >= low[i + w + 1] &&
    v >= high[i] &&
    v >= high[i - 1] &&
    v >= high[i + 1] &&
    v >= high[i - w - 1] &&
    v >= high[i - w] &&
    v >= high[i - w + 1] &&
    v >= high[i + w - 1] &&
    v >= high[i + w] &&
    v >= high[i + w + 1]
  );
}

function isMinimum(
  low: Float32Array,
  mid: Float32Array,
  high: Float32Array,
  i: number,
  w: number,
  v: number,
): boolean {
  return (
    v <= mid[i - w - 1] &&
    v <= mid[i - w] &&
    v <= mid[i - w + 1] &&
    v <= mid[i + w - 1] &&
    v <= mid[i + w] &&
    v <= mid[i + w + 1] &&
    v <= low[i] &&
    v <= low[i - 1] &&
    v <= low[i + 1] &&
    v <= low[i - w - 1] &&
    v <= low[i - w] &&
    v <= low[i - w + 1] &&
    v <= low[i + w - 1] &&
    v <= low[i + w] &&
    v <= low[i + w + 1] &&
    v <= high[i] &&
    v <= high[i - 1] &&
    v <= high[i + 1] &&
    v <= high[i - w - 1] &&
    v <= high[i - w] &&
    v <= high[i - w + 1] &&
    v <= high[i + w - 1] &&
    v <= high[i + w] &&
    v <= high[i + w + 1]
  );
}

/** Fits a quadratic in x, y and level and walks to its extremum; undefined for edges, weak blobs and strays. */
function refine(
  octave: Octave,
  octaveIndex: number,
  d: readonly Float32Array[],
  startX: number,
  startY: number,
  startPlace: number,
  contrast: number,
  seen: Set<number>,
): Blob | undefined {
  const { width: w, height, step } = octave;
  let x = startX;
  let y = startY;
  let place = startPlace;
  for (let move = 0; move <= MAX_MOVES; move++) {
    const i = y * w + x;
    const mid = d[place];
    const low = d[place - 1];
    const high = d[place + 1];
    const v = mid[i];
    const gx = 0.5 * (mid[i + 1] - mid[i - 1]);
    const gy = 0.5 * (mid[i + w] - mid[i - w]);
    const gs = 0.5 * (high[i] - low[i]);
    const xx = mid[i + 1] + mid[i - 1] - 2 * v;
    const yy = mid[i + w] + mid[i - w] - 2 * v;
    const ss = high[i] + low[i] - 2 * v;
    const xy = 0.25 * (mid[i + w + 1] - mid[i + w - 1] - mid[i - w + 1] + mid[i - w - 1]);
    const xs = 0.25 * (high[i + 1] - high[i - 1] - low[i + 1] + low[i - 1]);
    const ys = 0.25 * (high[i + w] - high[i - w] - low[i + w] + low[i - w]);
    const c0 = yy * ss - ys * ys;
    const c1 = xs * ys - xy * ss;
    const c2 = xy * ys - yy * xs;
    const det = xx * c0 + xy * c1 + xs * c2;
    if (det === 0) return undefined;
    const dx = -(c0 * gx + c1 * gy + c2 * gs) / det;
    const dy = -(c1 * gx + (xx * ss - xs * xs) * gy + (xy * xs - xx * ys) * gs) / det;
    const ds = -(c2 * gx + (xy * xs - xx * ys) * gy + (xx * yy - xy * xy) * gs) / det;
    if (Math.abs(dx) > 0.6 || Math.abs(dy) > 0.6 || Math.abs(ds) > 0.6) {
      x += Math.abs(dx) > 0.6 ? Math.sign(dx) : 0;
      y += Math.abs(dy) > 0.6 ? Math.sign(dy) : 0;
      place += Math.abs(ds) > 0.6 ? Math.sign(ds) : 0;
      if (place < 1 || place > d.length - 2) return undefined;
      if (x < BORDER || y < BORDER || x >= w - BORDER || y >= height - BORDER) return undefined;
      continue;
    }
    const response = v + 0.5 * (gx * dx + gy * dy + gs * ds);
    if (Math.abs(response) < contrast) return undefined;
    const trace = xx + yy;
    const curvature = xx * yy - xy * xy;
    if (curvature <= 0 || trace * trace >= EDGE_LIMIT * curvature) return undefined;
    // Two starts may walk to one extremum.
    const key = (place * height + y) * w + x;
    if (seen.has(key)) return undefined;
    seen.add(key);
    const at = place + ds;
    return {
      x: (x + dx) * step,
      y: (y + dy) * step,
      sigma: BASE_SIGMA * 2 ** ((octave.firstLevel + at) / LEVELS) * step,
      response,
      octave: octaveIndex,
      place: at,
    };
  }
  return undefined;
}
