import type { AroundFacts } from "./around.js";
import type { LeftAlone, UnreadableFile, UnsupportedFile } from "./folder.js";
import type { LightFacts } from "./light.js";
import type { PairFacts } from "./pair.js";
import type { MeasuredPhoto, PixelMeasures } from "./photo.js";
import type { Measure } from "./units.js";

/** What the pairs say of a photo; solved values are absent where the photo links to nothing. */
export interface SolvedMeasures {
  /**
   * Brightness of the shared surface against the set's reference, linear light. Positive is brighter. The reference is the
   * largest block of photos that agree and hold their highlights.
   */
  readonly exposureOffsetStops?: Measure;
  /** Red and blue against green, on the same surface against the same kind of reference. */
  readonly redOffsetStops?: Measure;
  readonly blueOffsetStops?: Measure;
  /** What to multiply the linear light of each channel by to bring the photo to the reference. */
  readonly redGain?: Measure;
  readonly greenGain?: Measure;
  readonly blueGain?: Measure;
  /** log2 band ratio of the shared surface against the median of its connected component. Negative is softer. */
  readonly sharpnessOffsetStops?: Measure;
  /** log2 fine band energy of the shared surface, exposure taken out. Negative is softer: shake shows here first. */
  readonly detailOffsetStops?: Measure;
  /** Photos this one was compared with, and how many of them show some of the same surface. */
  readonly comparedPhotos: Measure;
  readonly linkedPhotos: Measure;
}

/**
 * The measures of a photo for its subject alone. Confidence says how sure it is which pixels those are; what needs the
 * subject's shape or other photos is absent where the geometry failed.
 */
export interface SubjectMeasures {
  /** 0 (taken to be the middle of the frame) to 1 (matches decide all of its edge). */
  readonly confidence: Measure;
  /** Share of the frame that it covers. */
  readonly areaRatio: Measure;
  /** Longest side of the box around it over the frame's short side. */
  readonly sideRatio: Measure;
  /** Share of its outline beyond the frame's edge. */
  readonly cutRatio?: Measure;
  /** Mean of the tiles that lie on it; absent where it fills none. */
  readonly laplacianVariance?: Measure;
  /** Fine over mid band energy of its cells, and of the sharper ones around it; absent where they hold no structure. */
  readonly bandRatio?: Measure;
  readonly backgroundBandRatio?: Measure;
  /** Share of its pixels that are clipped with all channels within a stop of the top, and with all at the bottom. */
  readonly clippedRatio?: Measure;
  readonly blockedRatio?: Measure;
  /** log2 of its mean linear luminance (1 = white). */
  readonly meanLuminanceStops?: Measure;
  /** Median contrast of its texture in linear light: standard deviation over level. */
  readonly textureRatio?: Measure;
  /** Noise of its quietest tile, texture included. */
  readonly noiseSigma?: Measure;
  readonly keypoints: Measure;
  /** Share of it that has no keypoint near. */
  readonly bareRatio?: Measure;
  /** As in SolvedMeasures, from the matches on the subject. */
  readonly detailOffsetStops?: Measure;
}

export interface SubjectFacts {
  /** How its pixels were found: from the matches' geometry, or taken to be the middle of the frame. */
  readonly source: "geometry" | "centre";
  readonly measures: SubjectMeasures;
  /**
   * Closed lines of x, y, x, y, ..., shares of width and height of the upright picture; where the frame cuts the subject off,
   * they run along its edge, at 0 or 1. Absent where the middle of the frame stands in.
   */
  readonly outline?: readonly (readonly number[])[];
}

export type PhotoMeasures = PixelMeasures & SolvedMeasures;

export type MeasureName = keyof PhotoMeasures;

/** The same with what the pairs say of it. */
export interface PhotoFacts extends MeasuredPhoto {
  readonly measures: PhotoMeasures;
  readonly subject?: SubjectFacts;
}

export type CaptureOrder = "capture time" | "file name";

/** All that was gathered and measured. Judging the same facts again gives the same findings. */
export interface Facts {
  /** The folder's own name, no path. */
  readonly folder: string;
  readonly orderedBy: CaptureOrder;
  /** In capture order. */
  readonly photos: readonly PhotoFacts[];
  readonly pairs: readonly PairFacts[];
  readonly around: AroundFacts;
  /** Absent where the subject was not looked for. */
  readonly light?: LightFacts;
  readonly unreadable: readonly UnreadableFile[];
  readonly unsupported: readonly UnsupportedFile[];
  /** Files that are no photos (notes, videos): counted, not judged. System and hidden files are not counted. */
  readonly otherFiles: number;
  readonly leftAlone?: LeftAlone;
  /** Most photos the upload takes, where the user said so. */
  readonly atMostPhotos?: number;
}
