import type { Arena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";

/** Directions told apart, 22.5 degrees each: 0 is along x, and they turn clockwise in the picture. */
export const DIRECTIONS = 8;

/** Axes of the table that edges are counted in; see kernels/assembly/edges.ts. */
const STRENGTHS = 48;
const WIDTHS = 80;
const STEPS_A_PX = 20;

/** Variance that sampling adds to an edge, px squared: mean of 2 x 2 px, and slope over 2 x 2 of these; more along diagonals. */
const SAMPLING_VARIANCE = 0.25 + 0.62;
const DIAGONAL_VARIANCE = 0.6;

/** The stronger half of the edges is looked at: shading and noise make the weaker ones. */
const STRONG_SHARE = 0.5;
/**
 * Of the edges across one direction, the width that the sharpest 15 % keep under: something in any photo that is in focus
 * is sharp, however much of it lies before or behind, or is a soft shadow.
 */
const SHARP_SHARE = 0.15;
/** Fewer edges than this tell nothing of a direction. */
const FEWEST_EDGES = 100;

/**
 * Widths of a picture's edges by direction, read row by row from the half-size picture that the bands are made of.
 *
 * At every place where the gradient of a softer copy is largest along its own direction, the picture's slope there is
 * held against that copy's: for a step of width s, the ratio squared is (own + apart + s^2) / (own + s^2), where `own` is
 * the blur that measuring brings and `apart` what lies between the copies. Contrast and texture cancel out, so that a plain
 * surface has few edges, but no wider ones.
 *
 * @see Zhuo & Sim 2011, "Defocus map estimation from a single image", Pattern Recognition 44:1852 (ratio of gradients of a
 *   picture and its blurred copy; from memory). Here by direction, with the blur of sampling taken out.
 */
export class EdgeSweep {
  readonly #arena: Arena;
  readonly #width: number;
  readonly #height: number;
  readonly #scale: number;
  readonly #sigma: number;
  readonly #taps: Address;
  readonly #radius: number;
  readonly #line: Address;
  readonly #soft: readonly Address[];
  readonly #slopes: readonly Address[];
  readonly #counts: Address;

  /**
   * @param width, height of the half-size picture
   * @param sigma blur that was taken before it was halved, px of the full size
   * @param scale long edge of the full size over 1920
   * @param taps one-sided weights of a blur by half of sqrt(3) sigma: the softer copy then has twice the first blur
   */
  constructor({ width, height, sigma, scale, taps }: EdgeSweepOptions, arena: Arena) {
    this.#arena = arena;
    this.#width = width;
    this.#height = height;
    this.#scale = scale;
    this.#sigma = sigma;
    this.#taps = arena.copy(Float32Array.from(taps));
    this.#radius = taps.length - 1;
    this.#line = arena.take(4 * (width + 2 * taps.length));
    const rows = (count: number) => Array.from({ length: count }, () => arena.take(4 * width));
    // An edge is looked for in three rows of slopes, between four rows of the copy.
    this.#soft = rows(4);
    this.#slopes = rows(3);
    this.#counts = arena.filled(4 * DIRECTIONS * STRENGTHS * WIDTHS);
  }

  /** Reads row y, from the top; all of the half-size picture is there. */
  row(half: Address, y: number): void {
    const { blurRow, slopeRow, edgeRow } = kernels();
    const [width, height] = [this.#width, this.#height];
    const soft = (row: number) => this.#soft[row & 3];
    const slopes = (row: number) => this.#slopes[row % 3];
    blurRow(half, width, height, y, this.#taps, this.#radius, this.#line, soft(y));
    if (y > 0) slopeRow(soft(y - 1), soft(y), width, slopes(y - 1));
    const middle = y - 2;
    if (middle < 2 || middle > height - 4) return;
    edgeRow(
      slopes(middle - 1),
      slopes(middle),
      slopes(middle + 1),
      soft(middle),
      soft(middle + 1),
      half + 4 * middle * width,
      4 * width,
      4,
      width - 5,
      3 * this.#sigma ** 2,
      this.#sigma ** 2 + SAMPLING_VARIANCE,
      DIAGONAL_VARIANCE,
      1 / this.#scale,
      this.#counts,
    );
  }

  /**
   * Width of the sharpest edges across each direction: sigma of the blur that an ideal step has there, px at a long edge
   * of 1920 px, 0 to 3.95; null where there are too few edges to tell, as in a flat picture.
   */
  widths(): (number | null)[] {
    const counts = this.#arena.u32(this.#counts, DIRECTIONS * STRENGTHS * WIDTHS);
    const least = leastStrength(counts);
    return Array.from({ length: DIRECTIONS }, (_, direction) => {
      const own = new Float64Array(WIDTHS);
      for (let strength = least; strength < STRENGTHS; strength++) {
        const from = (direction * STRENGTHS + strength) * WIDTHS;
        for (let k = 0; k < WIDTHS; k++) own[k] += counts[from + k];
      }
      return sharpWidth(own);
    });
  }
}

export interface EdgeSweepOptions {
  readonly width: number;
  readonly height: number;
  readonly sigma: number;
  readonly scale: number;
  readonly taps: ArrayLike<number>;
}

/** The strength from which on lies STRONG_SHARE of all edges, or as little more as whole steps allow. */
function leastStrength(counts: Uint32Array): number {
  const ofStrength = new Float64Array(STRENGTHS);
  let all = 0;
  for (let i = 0; i < counts.length; i++) {
    ofStrength[Math.floor(i / WIDTHS) % STRENGTHS] += counts[i];
    all += counts[i];
  }
  let strength = STRENGTHS;
  for (let kept = 0; strength > 0 && kept < STRONG_SHARE * all; ) kept += ofStrength[--strength];
  return strength;
}

/** Width under which SHARP_SHARE of counted edges lie, px: within a step as if they lay evenly. */
function sharpWidth(counts: Float64Array): number | null {
  const all = counts.reduce((sum, count) => sum + count, 0);
  if (all < FEWEST_EDGES) return null;
  let left = SHARP_SHARE * all;
  // Edges steeper than any picture of that blur can be stand in the first step: they have no width.
  if (left <= counts[0]) return 0;
  for (let k = 0; k < WIDTHS; k++) {
    if (left <= counts[k]) return (k + left / counts[k]) / STEPS_A_PX;
    left -= counts[k];
  }
  return WIDTHS / STEPS_A_PX;
}
