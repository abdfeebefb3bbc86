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
  const spans = columnSpans(width, outWidth);
  // In units where a source pixel is outWidth wide and a target pixel is width wide, all overlaps are whole.
  const row = new Float64Array(channels * outWidth);
  const sums = new Float64Array(channels * outWidth);
  const total = width * height;
  const half = Math.floor(total / 2);
  let target = 0;
  for (let y = 0; y < height; y++) {
    shrinkRow(data, channels, channels * y * width, spans, row);
    // This source row is outHeight tall; target rows are `height` tall each.
    let left = outHeight;
    while (left > 0) {
      const room = (target + 1) * height - ((y + 1) * outHeight - left);
      const share = Math.min(left, room);
      for (let i = 0; i < row.length; i++) sums[i] += share * row[i];
      left -= share;
      if (share === room) {
        const at = channels * target * outWidth;
        for (let i = 0; i < row.length; i++) {
          out[at + i] = (sums[i] + half) / total;
          sums[i] = 0;
        }
        target++;
      }
    }
  }
  return { width: outWidth, height: outHeight, data: out };
}

/** For each target column: first and last source column under it, and the overlap with either. */
interface Spans {
  readonly first: Int32Array;
  readonly last: Int32Array;
  readonly firstShare: Int32Array;
  readonly lastShare: Int32Array;
  /** Overlap of a source column that lies wholly inside. */
  readonly whole: number;
}

function columnSpans(width: number, outWidth: number): Spans {
  const first = new Int32Array(outWidth);
  const last = new Int32Array(outWidth);
  const firstShare = new Int32Array(outWidth);
  const lastShare = new Int32Array(outWidth);
  for (let x = 0; x < outWidth; x++) {
    const from = x * width;
    const to = (x + 1) * width;
    first[x] = Math.floor(from / outWidth);
    last[x] = Math.ceil(to / outWidth) - 1;
    firstShare[x] = (first[x] + 1) * outWidth - from;
    lastShare[x] = first[x] === last[x] ? 0 : to - last[x] * outWidth;
  }
  return { first, last, firstShare, lastShare, whole: outWidth };
}

function shrinkRow(data: Uint8Array, channels: number, at: number, spans: Spans, row: Float64Array): void {
  const { first, last, firstShare, lastShare, whole } = spans;
  for (let x = 0, to = 0; x < first.length; x++) {
    const a = at + channels * first[x];
    const b = at + channels * last[x];
    for (let channel = 0; channel < channels; channel++, to++) {
      let sum = 0;
      for (let i = a + channel + channels; i < b; i += channels) sum += data[i];
      row[to] = whole * sum + firstShare[x] * data[a + channel] + lastShare[x] * data[b + channel];
    }
  }
}
