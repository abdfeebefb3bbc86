import { type Room, withRoom } from "../../kernels/room.js";
import type { Features, GreyImage } from "../../types.js";
import { describe, descriptorTables } from "./descriptor.js";
import { createFeatures, DESCRIPTOR_WORDS } from "./features.js";
import { type Blob, findBlobs } from "./keypoints.js";
import { directionWindow, dominantDirections } from "./orientation.js";
import { buildPyramid, type FloatImage, type Octave, toFloatImage } from "./pyramid.js";
import { spreadBlobs } from "./spread.js";

/** How keypoints are found; the defaults are measured by test/evaluate/keypoint-yield.ts. */
export interface ExtractOptions {
  /** Most keypoints a picture. */
  readonly limit: number;
  /** Smallest |difference of Gaussians| kept, grey 0 to 1. */
  readonly contrast: number;
  /** Side of the squares that share the limit between them, px of the searched picture. */
  readonly bucketPx: number;
  /** Pictures whose long edge is below `enlargeBelowPx` are enlarged towards `enlargeToPx`, twofold at most. */
  readonly enlargeBelowPx: number;
  readonly enlargeToPx: number;
}

const EXTRACT_DEFAULTS: ExtractOptions = {
  limit: 2000,
  contrast: 0.006,
  bucketPx: 64,
  enlargeBelowPx: 1000,
  enlargeToPx: 1200,
};

/**
 * Keypoints and binary descriptors of a working picture (long edge about 1200 px).
 *
 * @param working at least 24 px on its short side once enlarged; smaller pictures give no keypoints
 * @returns strongest first; x, y and scale in px of `working` (pixel centres at whole numbers); patches are zero
 * and left for measure/photo/patches.ts. A flat image gives no keypoints.
 * @throws RangeError when data does not hold width x height pixels
 */
export function extractFeatures(working: GreyImage, options: Partial<ExtractOptions> = {}): Features {
  const { limit, contrast, bucketPx, enlargeBelowPx, enlargeToPx } = { ...EXTRACT_DEFAULTS, ...options };
  const { width, height } = working;
  if (working.data.length !== width * height) {
    throw new RangeError(`expected ${width} x ${height} pixels, got ${working.data.length}`);
  }
  const longEdge = Math.max(width, height);
  const factor = longEdge < enlargeBelowPx ? Math.max(1, Math.min(2, enlargeToPx / longEdge)) : 1;
  return withRoom((room) => {
    const base = toFloatImage(working, factor, room);
    const octaves: Octave[] = [];
    const found: Blob[] = [];
    for (const octave of buildPyramid(base, factor, room)) {
      found.push(...findBlobs(octave, octaves.length, contrast, room));
      octaves.push(octave);
    }
    return describeBlobs(spreadBlobs(found, limit, bucketPx), octaves, base, working, limit, room);
  });
}

function describeBlobs(
  blobs: readonly Blob[],
  octaves: readonly Octave[],
  base: FloatImage,
  { width, height }: GreyImage,
  limit: number,
  room: Room,
): Features {
  const backX = width / base.width;
  const backY = height / base.height;
  const features = createFeatures(limit, width, height);
  const tables = descriptorTables(room);
  const window = directionWindow(room);
  const anglesAt = room.take(8);
  const angles = room.f32(anglesAt, 2);
  const wordsAt = room.take(4 * DESCRIPTOR_WORDS);
  const words = room.u32(wordsAt, DESCRIPTOR_WORDS);
  let count = 0;
  for (const blob of blobs) {
    const octave = octaves[blob.octave];
    const { width, height } = octave;
    const image: FloatImage = { at: octave.gaussians[Math.round(blob.place)], width, height };
    const x = blob.x / octave.step;
    const y = blob.y / octave.step;
    const sigma = blob.sigma / octave.step;
    const turns = dominantDirections(image, x, y, sigma, window, anglesAt);
    for (let k = 0; k < turns && count < limit; k++, count++) {
      features.x[count] = (blob.x + 0.5) * backX - 0.5;
      features.y[count] = (blob.y + 0.5) * backY - 0.5;
      features.scale[count] = blob.sigma * backX;
      features.angle[count] = angles[k];
      describe(image, x, y, sigma, angles[k], blob.response < 0, tables, wordsAt);
      features.descriptors.set(words, count * DESCRIPTOR_WORDS);
    }
    if (count === limit) break;
  }
  return count === limit ? features : firstFeatures(features, count);
}

function firstFeatures(from: Features, count: number): Features {
  const to = createFeatures(count, from.widthPx, from.heightPx);
  to.x.set(from.x.subarray(0, count));
  to.y.set(from.y.subarray(0, count));
  to.scale.set(from.scale.subarray(0, count));
  to.angle.set(from.angle.subarray(0, count));
  to.descriptors.set(from.descriptors.subarray(0, count * DESCRIPTOR_WORDS));
  return to;
}
