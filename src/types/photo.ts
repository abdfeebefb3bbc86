import type { Exif } from "./exif.js";
import type { Measure } from "./units.js";

/** A raw photo is judged by the JPEG that the camera stored inside it. */
export interface RawPreview {
  /** Whether the file reaches to the end of all that it declares; else it was cut short behind the preview. */
  readonly whole: boolean;
}

/** Measures of one photo that are always there once it is decoded. */
export interface PixelMeasures {
  /** Variance of the 4-neighbour Laplacian of the full-size 8-bit luma. Higher is sharper (or busier). */
  readonly laplacianVariance: Measure;
  /** Fine (sigma < 1) over mid (sigma 1 to 3) band energy at a long edge of 1920 px, noise removed; absent for a blank picture. */
  readonly bandRatio?: Measure;
  /** bandRatio of the sharpest twentieth of the tiles that show structure; absent for a blank picture. */
  readonly sharpestBandRatio?: Measure;
  /** Share of pixels with any channel at the top. */
  readonly clippedAnyRatio: Measure;
  /** Share of pixels with all three channels at the top. */
  readonly clippedAllRatio: Measure;
  /** Share of pixels with two channels at the top and the third within a stop of it, in the middle half of rows and columns. */
  readonly clippedCentreRatio: Measure;
  /** Share of pixels with all three channels at the bottom. */
  readonly blockedRatio: Measure;
  /** log2 of the mean linear luminance (1 = white): 0 at most. */
  readonly meanLuminanceStops: Measure;
  /** Grey-world chroma: log2 of mean linear red over green, and blue over green. */
  readonly redGreenStops: Measure;
  readonly blueGreenStops: Measure;
  /** Noise standard deviation in the quietest tenth of the tiles (Immerkaer 1996); absent where all are clipped. */
  readonly noiseSigma?: Measure;
  /** Keypoints found in the working picture. */
  readonly keypoints: Measure;
}

/** Measures on a grid of tiles in the upright frame, row-major, rounded for the report. */
export interface TileMeasures {
  readonly columns: number;
  readonly rows: number;
  readonly laplacianVariance: readonly number[];
  /** A tile without structure is null, not zero. */
  readonly bandRatio: readonly (number | null)[];
  readonly clippedAnyRatio: readonly number[];
  /** Noise standard deviation, grey levels; texture reads as noise. */
  readonly noiseSigma: readonly number[];
}

/**
 * Width of the sharpest edges across each of eight directions: sigma of the blur that an ideal step has there, px at a
 * long edge of 1920 px. Direction k is k times 22.5 degrees from along x, clockwise in the upright picture: shake along a
 * direction widens the edges across it. Null where a direction has too few edges to tell.
 */
export type EdgeWidths = readonly (number | null)[];

/** One decoded photo, measured on its own. Sizes are of the upright picture. */
export interface MeasuredPhoto {
  readonly file: string;
  readonly widthPx: number;
  readonly heightPx: number;
  /** SHA-256 of the file's bytes, hex. */
  readonly contentHash: string;
  readonly exif: Exif;
  /**
   * Mean step that the file rounds its coarse coefficients of lightness to: texture of less than half of it is gone. Absent
   * where the file, or the preview inside a raw one, is no JPEG.
   */
  readonly jpegStep?: Measure;
  /** There for raw photos: measures and sizes are those of the preview inside. */
  readonly rawPreview?: RawPreview;
  readonly measures: PixelMeasures;
  /** Absent from reports of versions that did not measure it. */
  readonly edgeWidthsPx?: EdgeWidths;
  readonly tiles: TileMeasures;
}

/**
 * Keypoints of one photo, strongest first, as a structure of arrays over shared memory: posting one to a
 * thread copies nothing. Positions are in pixels of the upright working picture, whose size stands beside.
 */
export interface Features {
  readonly count: number;
  /** Size of the upright working picture that x and y refer to, px. */
  readonly widthPx: number;
  readonly heightPx: number;
  readonly x: Float32Array;
  readonly y: Float32Array;
  /** Gaussian scale of each keypoint, px of the working picture. */
  readonly scale: Float32Array;
  /** Dominant gradient direction, radians in (-pi, pi], y down. */
  readonly angle: Float32Array;
  /** 256 bits each: eight 32-bit words, keypoint i at words 8 i to 8 i + 7. */
  readonly descriptors: Uint32Array;
  /** Surface around each keypoint, PATCH_FIELDS numbers each; see measure/photo/patches.ts. */
  readonly patches: Float32Array;
}

/**
 * One photo in coarse cells of the upright frame, row-major, kept in memory for what is measured once the subject is
 * known. Codes of 8 bits, a few dozen KB a photo, over shared memory; measure/photo/cells.ts says what they stand for.
 */
export interface Cells {
  readonly columns: number;
  readonly rows: number;
  /** Mean linear light; codes of LIGHT_OF_CODE. */
  readonly red: Uint8Array;
  readonly green: Uint8Array;
  readonly blue: Uint8Array;
  /** Linear luminance of the brightest spot of 4 x 4 px at 1920; codes of LIGHT_OF_CODE. */
  readonly brightest: Uint8Array;
  /** Share of pixels that are clipped or blocked, in 255ths. */
  readonly saturated: Uint8Array;
  /** Fine (sigma < 1) and mid (sigma 1 to 3) band energy at 1920, noise removed; codes of ENERGY_OF_CODE. */
  readonly fine: Uint8Array;
  readonly mid: Uint8Array;
}
