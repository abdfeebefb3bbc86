/**
 * What a photo's EXIF says. An absent field is a tag that is absent, malformed or out of range: never zero.
 * No coordinates, serial numbers or owner names are kept.
 */
export interface Exif {
  readonly make?: string;
  readonly model?: string;
  readonly lens?: string;
  /** Seconds, > 0. */
  readonly exposureTimeS?: number;
  /** > 0. */
  readonly fNumber?: number;
  /** ISO sensitivity, > 0. */
  readonly iso?: number;
  /** Exposure value at ISO 100, in stops: log2(N^2 / t) - log2(ISO / 100). */
  readonly ev100?: number;
  readonly focalLengthMm?: number;
  /** Focal length that has the same diagonal angle of view on a 36 x 24 mm frame, mm. */
  readonly focalLength35Mm?: number;
  /** Distance the lens was focused at, m, > 0; absent where unknown or beyond 1000 m. */
  readonly subjectDistanceM?: number;
  /** Digital zoom factor, >= 1; absent where unused. */
  readonly digitalZoom?: number;
  readonly flashFired?: boolean;
  readonly exposureMode?: "auto" | "manual" | "bracket";
  readonly whiteBalance?: "auto" | "manual";
  /** EXIF orientation 1 to 8; absent where not stored (treated as 1). */
  readonly orientation?: number;
  /** Local capture time, ISO 8601, with subseconds and offset where stored: 2026-05-01T14:03:22.45+02:00. */
  readonly capturedAt?: string;
  readonly hasLocation: boolean;
}
