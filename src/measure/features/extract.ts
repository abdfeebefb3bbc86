import type { Features, GreyImage } from "../../types.js";
import { describe } from "./descriptor.js";
import { createFeatures, DESCRIPTOR_WORDS } from "./features.js";
import { findBlobs } from "./keypoints.js";
import { dominantDirections } from "./orientation.js";
import { buildPyramid, toFloatImage } from "./pyramid.js";
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

export const EXTRACT_DEFAULTS: ExtractOptions = {
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
  const base = toFloatImage(working, factor);
  const octaves = buildPyramid(base, factor);
  const blobs = spreadBlobs(findBlobs(octaves, contrast), limit, bucketPx);

  const backX = width / base.width;
  const backY = height / base.height;
  const room = createFeatures(limit, width, height);
  const angles = new Float32Array(2);
  let count = 0;
  for (const blob of blobs) {
    const octave = octaves[blob.octave];
    const image = octave.gaussians[Math.round(blob.place)];
    const x = blob.x / octave.step;
    const y = blob.y / octave.step;
    const sigma = blob.sigma / octave.step;
    const turns = dominantDirections(image, octave.width, octave.height, x, y, sigma, angles);
    for (let k = 0; k < turns && count < limit; k++, count++) {
      room.x[count] = (blob.x + 0.5) * backX - 0.5;
      room.y[count] = (blob.y + 0.5) * backY - 0.5;
      room.scale[count] = blob.sigma * backX;
      room.angle[count] = angles[k];
      describe(
        image,
        octave.width,
        octave.height,
        x,
        y,
        sigma,
        angles[k],
        blob.response < 0,
        room.descriptors,
        count * DESCRIPTOR_WORDS,
      );
    }
    if (count === limit) break;
  }
  return count === limit ? room : firstFeatures(room, count);
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
