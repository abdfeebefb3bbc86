import type { Arena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
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

/**
 * Finds extrema of an octave's differences of Gaussians in position and scale, refined to a fraction of a pixel.
 *
 * @see Lowe 2004, sections 3.1 and 4
 */
export class BlobSearch {
  readonly #octave: Octave;
  readonly #index: number;
  readonly #contrast: number;
  readonly #gaussians: readonly Float32Array[];
  readonly #levels: readonly LevelSearch[];
  readonly #seen = new Set<number>();

  /**
   * @param index the octave's place in the pyramid
   * @param contrast smallest |difference of Gaussians| kept, grey 0 to 1
   */
  constructor(octave: Octave, index: number, contrast: number, arena: Arena) {
    const { width, height, gaussians } = octave;
    this.#octave = octave;
    this.#index = index;
    this.#contrast = contrast;
    this.#gaussians = gaussians.map((at) => arena.f32(at, width * height));
    const most = (width * height) >> 2;
    this.#levels = gaussians.slice(3).map(() => {
      const foundAt = arena.take(4 * most);
      return { foundAt, found: arena.i32(foundAt, most), count: 0, refined: 0, blobs: [] };
    });
  }

  /** Searches one row: the Gaussians have to be there down to the next. Rows come from the top. */
  searchRow(y: number): void {
    const { width, height, gaussians } = this.#octave;
    if (y < BORDER || y >= height - BORDER) return;
    const { findExtrema } = kernels();
    // The refined extremum may be higher than the pixel it was found at.
    const floor = 0.8 * this.#contrast;
    this.#levels.forEach((level, k) => {
      const [a, b, c, d] = [gaussians[k], gaussians[k + 1], gaussians[k + 2], gaussians[k + 3]];
      const to = level.foundAt + 4 * level.count;
      const capacity = level.found.length - level.count;
      level.count += findExtrema(a, b, c, d, width, y, BORDER, floor, to, capacity);
    });
    // Refining may walk down that far.
    this.#refineAbove(y - MAX_MOVES + 1);
  }

  /** All blobs of the rows searched, level by level in scan order; none in a flat image. */
  blobs(): Blob[] {
    this.#refineAbove(this.#octave.height);
    return this.#levels.flatMap(({ blobs }) => blobs);
  }

  /** Refines what was found above a row, while it is in the core's cache. */
  #refineAbove(row: number): void {
    const { width } = this.#octave;
    this.#levels.forEach((level, k) => {
      for (; level.refined < level.count && level.found[level.refined] < row * width; level.refined++) {
        const i = level.found[level.refined];
        const x = i % width;
        const y = (i - x) / width;
        const blob = refine(
          this.#octave,
          this.#index,
          this.#gaussians,
          x,
          y,
          k + 1,
          this.#contrast,
          this.#seen,
        );
        if (blob) level.blobs.push(blob);
      }
    });
  }
}

/** Extrema found in one level of differences, as indexes in the picture, and the blobs of those that were refined. */
interface LevelSearch {
  readonly foundAt: Address;
  /** What stands at `foundAt`, and space for more. */
  readonly found: Int32Array;
  count: number;
  refined: number;
  readonly blobs: Blob[];
}

/** Differences around a pixel: three levels of three rows of three, in single precision as the search has them. */
const around = new Float32Array(27);

/** @param place of the middle level: Gaussian `place` + 1 less Gaussian `place` */
function takeAround(gaussians: readonly Float32Array[], place: number, i: number, width: number): void {
  for (let level = 0, to = 0; level < 3; level++) {
    const sharp = gaussians[place - 1 + level];
    const soft = gaussians[place + level];
    for (let row = i - width; row <= i + width; row += width) {
      for (let at = row - 1; at <= row + 1; at++, to++) around[to] = soft[at] - sharp[at];
    }
  }
}

/** Fits a quadratic in x, y and level and walks to its extremum; undefined for edges, weak blobs and strays. */
function refine(
  octave: Octave,
  octaveIndex: number,
  gaussians: readonly Float32Array[],
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
    takeAround(gaussians, place, y * w + x, w);
    // Indexes of the middle pixel of each level; a row is three further, a level nine.
    const [low, mid, high] = [4, 13, 22];
    const v = around[mid];
    const gx = 0.5 * (around[mid + 1] - around[mid - 1]);
    const gy = 0.5 * (around[mid + 3] - around[mid - 3]);
    const gs = 0.5 * (around[high] - around[low]);
    const xx = around[mid + 1] + around[mid - 1] - 2 * v;
    const yy = around[mid + 3] + around[mid - 3] - 2 * v;
    const ss = around[high] + around[low] - 2 * v;
    const xy = 0.25 * (around[mid + 4] - around[mid + 2] - around[mid - 2] + around[mid - 4]);
    const xs = 0.25 * (around[high + 1] - around[high - 1] - around[low + 1] + around[low - 1]);
    const ys = 0.25 * (around[high + 3] - around[high - 3] - around[low + 3] + around[low - 3]);
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
      if (place < 1 || place > gaussians.length - 3) return undefined;
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
