/** Where it is known from how bright a photo is by its exposure alone: EXIF, or the surface shared with other photos. */
export type ExposureSource = "exif" | "matched surface";

/** The subject's light as one photo shows it. What could not be measured is absent. */
export interface LightPhoto {
  readonly file: string;
  /** log2 of the subject's median linear luminance, exposure taken out, stops: to be compared within the set. */
  readonly subjectStops?: number;
  /** Share of the subject's surface that is brighter here than in most other photos: highlights that move, 0 to 1. */
  readonly highlightRatio?: number;
  /** The same for darker: shadows that move. */
  readonly shadowRatio?: number;
  /** Share of the subject's surface that the two ratios were measured on, 0 to 1. */
  readonly followedRatio?: number;
  /** Diameter of the Airy disk for green light, px of the photo. */
  readonly airyDiameterPx?: number;
  /** Depth of the subject that the photo shows, half its width, at the distance that EXIF stores. */
  readonly subjectDepthMm?: number;
  /** Depth that is sharp at that distance; absent where it has no end. */
  readonly depthOfFieldMm?: number;
}

/** How the subject's brightness goes with the direction it is seen from, in the largest connected component. */
export interface LightFalloff {
  /** Highest less lowest bin, stops. */
  readonly falloffStops: number;
  /** What one bright and one dark side explain of it: twice the first harmonic around the subject, at most all. */
  readonly oneSidedStops: number;
  /** The same of two opposite bright sides: the second harmonic. */
  readonly twoSidedStops: number;
  /** Direction from which the subject looks darkest, an azimuth of the part's cameras. */
  readonly darkSideDeg: number;
  /** Photos that see the dark side. */
  readonly darkPhotos: readonly string[];
  /** Median brightness of each 30 degrees of azimuth from 0 on, stops; null where no photo was taken. */
  readonly binStops: readonly (number | null)[];
}

/** The largest step in time of the light on the shared surface, exposure taken out by EXIF. */
export interface LightStep {
  /** The last photo before it and the first after it, in capture order. */
  readonly before: string;
  readonly after: string;
  /** After less before. */
  readonly stops: number;
  /** Red and blue against green; absent where the camera may have chosen its own white balance. */
  readonly redStops?: number;
  readonly blueStops?: number;
}

/** The light on the subject, and the optics it passed. */
export interface LightFacts {
  /** One a photo, in capture order. */
  readonly photos: readonly LightPhoto[];
  readonly exposureSource: ExposureSource;
  /** Absent where the subject was turned, or too few directions or exposures are known. */
  readonly falloff?: LightFalloff;
  /** Absent where EXIF does not tell the exposure of enough photos. */
  readonly step?: LightStep;
}
