import type { GreyImage, RgbImage } from "../../types.js";

/**
 * Area average of a picture, brought down so that its long edge is `longEdge` px; the same object where
 * it is no larger. Every source pixel counts by the exact share of the target pixel that it covers. The sums
 * are whole numbers, so that a turned or mirrored picture gives the turned or mirrored result to the bit.
 *
 * @param image any size
 * @param longEdge px, > 0
 */
export function shrinkRgb(image: RgbImage, longEdge: number): RgbImage {
  return shrink(image, 3, longEdge);
}

/** shrinkRgb for a picture of one channel. */
export function shrinkGrey(image: GreyImage, longEdge: number): GreyImage {
  return shrink(image, 1, longEdge);
}

function shrink<Image extends GreyImage | RgbImage>(
  image: Image,
  channels: number,
  longEdge: number,
): GreyImage {
  const { width, height, data } = image;
  const long = Math.max(width, height);
  if (long <= longEdge) return image;
  const outWidth = Math.max(1, Math.round((width * longEdge) / long));
  const outHeight = Math.max(1, Math.round((height * longEdge) / long));
  const out = new Uint8Array(channels * outWidth * outHeight);
  const across = spansOf(width, outWidth);
  const along = spansOf(height, outHeight);
  const total = across.size * along.size;
  const column = new Float64Array(channels * width);
  for (let target = 0; target < outHeight; target++) {
    addRows(data, channels * width, along, target, column);
    const at = channels * target * outWidth;
    const row = out.subarray(at, at + channels * outWidth);
    if (channels === 3) averageRgb(column, across, total, row);
    else averageGrey(column, across, total, row);
  }
  return { width: outWidth, height: outHeight, data: out };
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

function spansOf(sizeIn: number, sizeOut: number): Spans {
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

function commonDivisor(a: number, b: number): number {
  return b === 0 ? a : commonDivisor(b, a % b);
}

/** Weighted sum of the source rows under one target row, three at a time: the usual number in a 12-megapixel photo. */
function addRows(data: Uint8Array, length: number, spans: Spans, target: number, out: Float64Array): void {
  const first = spans.first[target];
  const last = spans.last[target];
  const share = (y: number): number =>
    y > last
      ? 0
      : y === first
        ? spans.firstShare[target]
        : y === last
          ? spans.lastShare[target]
          : spans.whole;
  out.fill(0);
  for (let y = first; y <= last; y += 3) {
    const b = Math.min(last, y + 1) * length;
    const c = Math.min(last, y + 2) * length;
    addThreeRows(data, y * length, b, c, share(y), share(y + 1), share(y + 2), out);
  }
}

function addThreeRows(
  data: Uint8Array,
  a: number,
  b: number,
  c: number,
  shareA: number,
  shareB: number,
  shareC: number,
  out: Float64Array,
): void {
  for (let i = 0; i < out.length; i++) {
    out[i] += shareA * data[a + i] + shareB * data[b + i] + shareC * data[c + i];
  }
}

/** Added to a sum so that the product with 1 / total, cut to a whole number, is the rounded quotient. */
function roundingOf(total: number): number {
  // The half more keeps a whole quotient whole where the product comes out a last bit low. The sums are whole
  // numbers, so that it lifts no other quotient.
  return Math.floor(total / 2) + 0.5;
}

function averageRgb(sums: Float64Array, spans: Spans, total: number, out: Uint8Array): void {
  const { first, last, firstShare, lastShare, whole } = spans;
  const rounding = roundingOf(total);
  const inverse = 1 / total;
  for (let x = 0, to = 0; x < first.length; x++, to += 3) {
    const a = 3 * first[x];
    const b = 3 * last[x];
    let red = 0;
    let green = 0;
    let blue = 0;
    for (let i = a + 3; i < b; i += 3) {
      red += sums[i];
      green += sums[i + 1];
      blue += sums[i + 2];
    }
    const before = firstShare[x];
    const after = lastShare[x];
    out[to] = (whole * red + before * sums[a] + after * sums[b] + rounding) * inverse;
    out[to + 1] = (whole * green + before * sums[a + 1] + after * sums[b + 1] + rounding) * inverse;
    out[to + 2] = (whole * blue + before * sums[a + 2] + after * sums[b + 2] + rounding) * inverse;
  }
}

function averageGrey(sums: Float64Array, spans: Spans, total: number, out: Uint8Array): void {
  const { first, last, firstShare, lastShare, whole } = spans;
  const rounding = roundingOf(total);
  const inverse = 1 / total;
  for (let x = 0; x < first.length; x++) {
    const a = first[x];
    const b = last[x];
    let sum = 0;
    for (let i = a + 1; i < b; i++) sum += sums[i];
    out[x] = (whole * sum + firstShare[x] * sums[a] + lastShare[x] * sums[b] + rounding) * inverse;
  }
}
