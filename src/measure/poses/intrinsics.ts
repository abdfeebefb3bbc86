/** A pinhole camera with square pixels and the principal point at the picture's centre. */
export interface Intrinsics {
  /** Focal length, px of the same picture that the points are measured in. */
  readonly focalPx: number;
  readonly centreX: number;
  readonly centreY: number;
}

/** Diagonal of the 36 x 24 mm frame that the 35 mm equivalent refers to, mm. */
const FRAME_DIAGONAL_MM = Math.hypot(36, 24);

/**
 * Focal length assumed where EXIF has none, mm on a 36 x 24 mm frame: the main camera of most phones lies between 24
 * and 28 mm (common practice, no source).
 */
export const ASSUMED_FOCAL_LENGTH_35_MM = 26;

/**
 * Intrinsics of an upright picture. The 35 mm equivalent is by diagonal: 28 mm on 4032 x 3024 px is 3261 px, where
 * calibration of such a phone gives 3260.5 px. Pixel (0, 0) has its centre at (0, 0), so the middle is (width - 1) / 2.
 *
 * @param focalLength35Mm focal length of the same diagonal angle of view on 36 x 24 mm; > 0.
 */
export function intrinsicsOf(
  widthPx: number,
  heightPx: number,
  focalLength35Mm: number = ASSUMED_FOCAL_LENGTH_35_MM,
): Intrinsics {
  const focalPx = (focalLength35Mm / FRAME_DIAGONAL_MM) * Math.hypot(widthPx, heightPx);
  return { focalPx, centreX: (widthPx - 1) / 2, centreY: (heightPx - 1) / 2 };
}
