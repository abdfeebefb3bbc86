import type { Features } from "../../types/photo.js";

/** Numbers kept for the surface around each keypoint; see the PATCH_ offsets for their order. */
export const PATCH_FIELDS = 6;
/** Mean linear red, green and blue, 0 to 1. */
export const PATCH_RED = 0;
export const PATCH_GREEN = 1;
export const PATCH_BLUE = 2;
/** Share of the patch's pixels with any channel at the top, 0 to 1. */
export const PATCH_SATURATED_RATIO = 3;
/** Energy of the fine (sigma < 1) and mid (sigma 1 to 3) bands, grey levels squared. */
export const PATCH_FINE_ENERGY = 4;
export const PATCH_MID_ENERGY = 5;

/** 32-bit words in one descriptor of 256 bits. */
export const DESCRIPTOR_WORDS = 8;

/**
 * The highest bit of a descriptor's last word tells bright blobs (1) from dark ones (0). The other 255 compare
 * gradients. A bright blob never shows the same surface point as a dark one, so matching skips half the pairs.
 */
const POLARITY_WORD = 7;
const POLARITY_BIT = 31;

/** 1 for a bright blob on darker ground, 0 for a dark one. */
export function polarityOf(features: Features, index: number): 0 | 1 {
  return (features.descriptors[index * DESCRIPTOR_WORDS + POLARITY_WORD] >>> POLARITY_BIT) as 0 | 1;
}

/**
 * Arena for `count` keypoints of a working picture of `widthPx` x `heightPx`, all zero, over one block of
 * shared memory: posting it to a thread copies nothing.
 *
 * @throws RangeError when count or a size is not a whole number, count < 0 or a size < 1.
 */
export function createFeatures(count: number, widthPx: number, heightPx: number): Features {
  if (!Number.isInteger(count) || count < 0) throw new RangeError(`count: a whole number >= 0, not ${count}`);
  for (const size of [widthPx, heightPx]) {
    if (!Number.isInteger(size) || size < 1)
      throw new RangeError(`a size is a whole number >= 1, not ${size}`);
  }
  const buffer = new SharedArrayBuffer(4 * count * (4 + DESCRIPTOR_WORDS + PATCH_FIELDS));
  let offset = 0;
  const take = (fields: number): [SharedArrayBuffer, number, number] => {
    const start = offset;
    offset += 4 * count * fields;
    return [buffer, start, count * fields];
  };
  return {
    count,
    widthPx,
    heightPx,
    x: new Float32Array(...take(1)),
    y: new Float32Array(...take(1)),
    scale: new Float32Array(...take(1)),
    angle: new Float32Array(...take(1)),
    descriptors: new Uint32Array(...take(DESCRIPTOR_WORDS)),
    patches: new Float32Array(...take(PATCH_FIELDS)),
  };
}
