import { type Arena, withArena } from "../../kernels/arena.js";
import type { Features } from "../../types/photo.js";
import type { GreyImage } from "../../types/pixels.js";
import { describe, descriptorTables } from "./descriptor.js";
import { createFeatures, DESCRIPTOR_WORDS } from "./features.js";
import { type Blob, BlobSearch } from "./keypoints.js";
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
  return withArena((arena) => {
    const base = toFloatImage(working, factor, arena);
    const found: Blob[] = [];
    const octaves = buildPyramid(base, factor, arena, (octave, index) => {
      const search = new BlobSearch(octave, index, contrast, arena);
      return { row: (y) => search.searchRow(y), end: () => void found.push(...search.blobs()) };
    });
    return describeBlobs(found, spreadBlobs(found, limit, bucketPx), octaves, base, working, limit, arena);
  });
}

/** One direction of a blob, described. */
interface Keypoint {
  readonly blob: Blob;
  /** Radians, y down. */
  readonly angle: number;
  /** The 256 bits of the descriptor. */
  readonly words: Uint32Array;
}

/**
 * Keypoints of the chosen blobs: one for each of a blob's directions, in the order of the blobs, `limit` at most.
 *
 * Pixels are read in the order blobs were found in, which is that of the pyramid's rows: from the strongest on it would
 * be to and fro in more memory than a core's cache holds.
 */
function describeBlobs(
  found: readonly Blob[],
  chosen: readonly Blob[],
  octaves: readonly Octave[],
  base: FloatImage,
  { width, height }: GreyImage,
  limit: number,
  arena: Arena,
): Features {
  const isChosen = new Set(chosen);
  const tables = descriptorTables(arena);
  const window = directionWindow(arena);
  const anglesAt = arena.take(8);
  const wordsAt = arena.take(4 * DESCRIPTOR_WORDS);
  const [angles, words] = [arena.f32(anglesAt, 2), arena.u32(wordsAt, DESCRIPTOR_WORDS)];
  const keypointsOf = new Map<Blob, Keypoint[]>();
  for (const blob of found) {
    if (!isChosen.has(blob)) continue;
    const { width, height, step, gaussians } = octaves[blob.octave];
    const image: FloatImage = { at: gaussians[Math.round(blob.place)], width, height };
    const [x, y, sigma] = [blob.x / step, blob.y / step, blob.sigma / step];
    const turns = dominantDirections(image, x, y, sigma, window, anglesAt);
    const keypoints = Array.from(angles.subarray(0, turns), (angle): Keypoint => {
      describe(image, x, y, sigma, angle, blob.response < 0, tables, wordsAt);
      return { blob, angle, words: words.slice() };
    });
    keypointsOf.set(blob, keypoints);
  }
  const keypoints = chosen.flatMap((blob) => keypointsOf.get(blob) ?? []).slice(0, limit);
  const features = createFeatures(keypoints.length, width, height);
  const backX = width / base.width;
  const backY = height / base.height;
  keypoints.forEach(({ blob, angle, words }, k) => {
    features.x[k] = (blob.x + 0.5) * backX - 0.5;
    features.y[k] = (blob.y + 0.5) * backY - 0.5;
    features.scale[k] = blob.sigma * backX;
    features.angle[k] = angle;
    features.descriptors.set(words, k * DESCRIPTOR_WORDS);
  });
  return features;
}
