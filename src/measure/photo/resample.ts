import { type Arena, withArena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
import type { GreyImage, RgbImage } from "../../types/pixels.js";

/**
 * Area average of a picture, brought down so that its long edge is `longEdge` px; the same object where
 * it is no larger. Every source pixel counts by the exact share of the target pixel that it covers. The sums
 * are whole numbers, so that a turned or mirrored picture gives the turned or mirrored result to the bit.
 *
 * @param image any size
 * @param channels 1 of a grey picture, 3 of one in colour
 * @param longEdge px, > 0
 */
export function shrink<Image extends GreyImage | RgbImage>(
  image: Image,
  channels: 1 | 3,
  longEdge: number,
): GreyImage {
  const { width, height, data } = image;
  if (Math.max(width, height) <= longEdge) return image;
  const [outWidth, outHeight] = shrunkSize(width, height, longEdge);
  return withArena((arena) => {
    const out = arena.take(channels * outWidth * outHeight);
    const shrinker = new RowShrinker(width, height, outWidth, outHeight, channels, out, arena);
    const from = arena.copy(data);
    for (let y = 0; y < height; y++) shrinker.add(y, from + channels * y * width);
    return {
      width: outWidth,
      height: outHeight,
      data: arena.u8(out, channels * outWidth * outHeight).slice(),
    };
  });
}

/** Size of a picture brought down to a long edge, px; its own where it is no larger. */
export function shrunkSize(width: number, height: number, longEdge: number): [number, number] {
  const long = Math.max(width, height);
  if (long <= longEdge) return [width, height];
  const size = (side: number) => Math.max(1, Math.round((side * longEdge) / long));
  return [size(width), size(height)];
}

/** {@link shrink} fed row by row, from the top. */
export class RowShrinker {
  readonly #along: Spans;
  readonly #weigh: (row: Address, share: number, more: number) => void;
  readonly #average: (out: Address) => void;
  readonly #outBytes: number;
  #target = 0;
  #out: Address;

  /** @param out address of outWidth x outHeight pixels */
  constructor(
    width: number,
    height: number,
    outWidth: number,
    outHeight: number,
    channels: 1 | 3,
    out: Address,
    arena: Arena,
  ) {
    const across = spansOf(width, outWidth);
    this.#along = spansOf(height, outHeight);
    this.#out = out;
    this.#outBytes = channels * outWidth;
    const rowBytes = channels * width;
    const total = across.size * this.#along.size;
    if (255 * this.#along.size < 2 ** 15 && total < 2 ** 14) {
      const { weighRow, averageGreyRow, averageRgbRow } = kernels();
      const averageRow = channels === 3 ? averageRgbRow : averageGreyRow;
      const { starts, weights, pairs } = pairsOf(width, outWidth);
      const sums = arena.take(2 * rowBytes);
      const [startsAt, weightsAt] = [arena.copy(starts), arena.copy(weights)];
      this.#weigh = (row, share, more) => weighRow(row, rowBytes, share, sums, more);
      this.#average = (to) =>
        averageRow(sums, startsAt, weightsAt, starts.byteLength, pairs, outWidth, total, to);
    } else {
      const { weighWideRow, averageWideRow } = kernels();
      const sums = arena.take(4 * rowBytes);
      const spans = arena.copy(packed(across, channels));
      const rounding = roundingOf(total);
      this.#weigh = (row, share, more) => weighWideRow(row, rowBytes, share, sums, more);
      this.#average = (to) =>
        averageWideRow(sums, spans, outWidth, channels, across.whole, rounding, 1 / total, to);
    }
  }

  /** Adds source row y, which stands at `row`. */
  add(y: number, row: Address): void {
    const { first, last, firstShare, lastShare, whole } = this.#along;
    while (this.#target < first.length && first[this.#target] <= y) {
      const target = this.#target;
      const starts = first[target] === y;
      const share = starts ? firstShare[target] : y === last[target] ? lastShare[target] : whole;
      if (share > 0) this.#weigh(row, share, +!starts);
      if (y < last[target]) return;
      this.#average(this.#out);
      this.#out += this.#outBytes;
      this.#target++;
    }
  }
}

/**
 * Along one axis, for each target pixel: first and last source pixel under it, and the overlap with either. The
 * units are those in which all overlaps are whole, and small numbers for the sizes that cameras write.
 */
interface Spans {
  readonly first: Int32Array;
  readonly last: Int32Array;
  readonly firstShare: Int32Array;
  readonly lastShare: Int32Array;
  /** Overlap of a source pixel that lies wholly inside. */
  readonly whole: number;
  /** Size of a target pixel: the sum of its overlaps. */
  readonly size: number;
}

const spansOf = rememberedLately(newSpans);

function newSpans(sizeIn: number, sizeOut: number): Spans {
  const common = commonDivisor(sizeIn, sizeOut);
  const size = sizeIn / common;
  const whole = sizeOut / common;
  const first = new Int32Array(sizeOut);
  const last = new Int32Array(sizeOut);
  const firstShare = new Int32Array(sizeOut);
  const lastShare = new Int32Array(sizeOut);
  for (let i = 0; i < sizeOut; i++) {
    const from = i * size;
    const to = (i + 1) * size;
    first[i] = Math.floor(from / whole);
    last[i] = Math.ceil(to / whole) - 1;
    firstShare[i] = (first[i] + 1) * whole - from;
    lastShare[i] = first[i] === last[i] ? 0 : to - last[i] * whole;
  }
  return { first, last, firstShare, lastShare, whole, size };
}

/** Spans as the quick kernels take them, lists of one number a target pixel, with space for whole vectors. */
interface Pairs {
  /** First source pixel. */
  readonly starts: Int32Array;
  /** Overlaps of two source pixels each (two i16): a list of the first two, a list of the next two... */
  readonly weights: Int32Array;
  /** How many such lists there are. */
  readonly pairs: number;
}

const pairsOf = rememberedLately(newPairs);

function newPairs(sizeIn: number, sizeOut: number): Pairs {
  const { first, last, firstShare, lastShare, whole } = spansOf(sizeIn, sizeOut);
  const length = 4 * Math.ceil(sizeOut / 4);
  const starts = new Int32Array(length);
  starts.set(first);
  const widest = first.reduce((most, from, i) => Math.max(most, last[i] - from + 1), 0);
  const pairs = Math.ceil(widest / 2);
  const weights = new Int32Array(pairs * length);
  const shares = new Int16Array(weights.buffer);
  for (let i = 0; i < sizeOut; i++) {
    for (let k = 0; k <= last[i] - first[i]; k++) {
      const share = k === 0 ? firstShare[i] : first[i] + k === last[i] ? lastShare[i] : whole;
      shares[2 * ((k >> 1) * length + i) + (k & 1)] = share;
    }
  }
  return { starts, weights, pairs };
}

/** Tables that are remembered: photos of a set have one size, or two. */
const MOST_KNOWN = 16;

function rememberedLately<T>(make: (sizeIn: number, sizeOut: number) => T) {
  const lately = new Map<string, T>();
  return (sizeIn: number, sizeOut: number): T => {
    const key = `${sizeIn} ${sizeOut}`;
    const known = lately.get(key);
    if (known !== undefined) return known;
    if (lately.size >= MOST_KNOWN) lately.clear();
    const made = make(sizeIn, sizeOut);
    lately.set(key, made);
    return made;
  };
}

/** Spans as the kernel for any size takes them: two addresses among sums of 4 bytes a channel, and two overlaps. */
function packed({ first, last, firstShare, lastShare }: Spans, channels: number): Int32Array {
  const out = new Int32Array(4 * first.length);
  const shares = new Float32Array(out.buffer);
  for (let i = 0; i < first.length; i++) {
    out[4 * i] = 4 * channels * first[i];
    out[4 * i + 1] = 4 * channels * last[i];
    shares[4 * i + 2] = firstShare[i];
    shares[4 * i + 3] = lastShare[i];
  }
  return out;
}

function commonDivisor(a: number, b: number): number {
  return b === 0 ? a : commonDivisor(b, a % b);
}

/** Added to a sum so that the product with 1 / total, cut to a whole number, is the rounded quotient. */
function roundingOf(total: number): number {
  // The half more keeps a whole quotient whole where the product comes out a last bit low. The sums are whole
  // numbers, so that it lifts no other quotient.
  return Math.floor(total / 2) + 0.5;
}
