/** Diagonal of the 36 x 24 mm frame that the 35 mm equivalent refers to, mm. */
const FRAME_DIAGONAL_MM = Math.hypot(36, 24);

/** Circle of confusion on a 36 x 24 mm frame, mm: 1.6 px at 1920. A convention, 1/1442 of the diagonal. */
const FRAME_CONFUSION_MM = 0.03;

/** Wavelength of green light, to which eye and sensor are most sensitive, mm. */
const WAVELENGTH_MM = 0.00055;

/** A lens as it was set, by EXIF. */
export interface LensSetting {
  readonly focalLengthMm: number;
  /** Focal length with the same diagonal angle of view on 36 x 24 mm, mm. */
  readonly focalLength35Mm: number;
  readonly fNumber: number;
}

/** Size of the sensor against a 36 x 24 mm frame, by diagonal: 1 for that frame, about 0.16 for a phone. */
export function sensorScale({ focalLengthMm, focalLength35Mm }: LensSetting): number {
  return focalLengthMm / focalLength35Mm;
}

/**
 * Hyperfocal distance f^2 / (N c) + f, mm: focused there, all from half of it to infinity is sharp.
 *
 * @param confusionMm largest spot that still counts as sharp, on the sensor
 * @see Greenleaf 1950, "Photographic Optics" (from memory)
 */
export function hyperfocalMm(focalLengthMm: number, fNumber: number, confusionMm: number): number {
  return focalLengthMm ** 2 / (fNumber * confusionMm) + focalLengthMm;
}

/** Nearest and farthest distance that is sharp, mm; the farthest may be Infinity. */
export interface SharpRange {
  readonly nearMm: number;
  readonly farMm: number;
}

/**
 * Depth of field of a thin lens focused at a distance: s (H - f) / (H + s - 2 f) to s (H - f) / (H - s).
 *
 * @param distanceMm > focalLengthMm
 * @see Greenleaf 1950, "Photographic Optics" (from memory)
 */
export function sharpRange(
  focalLengthMm: number,
  fNumber: number,
  confusionMm: number,
  distanceMm: number,
): SharpRange {
  const hyperfocal = hyperfocalMm(focalLengthMm, fNumber, confusionMm);
  const top = distanceMm * (hyperfocal - focalLengthMm);
  return {
    nearMm: top / (hyperfocal + distanceMm - 2 * focalLengthMm),
    farMm: distanceMm >= hyperfocal ? Number.POSITIVE_INFINITY : top / (hyperfocal - distanceMm),
  };
}

/**
 * The sharp range of a photo at the distance that its EXIF stores. The circle of confusion is that of the 36 x 24 mm frame
 * brought to the sensor's size.
 */
export function sharpRangeOf(setting: LensSetting, distanceMm: number): SharpRange {
  const confusionMm = FRAME_CONFUSION_MM * sensorScale(setting);
  return sharpRange(setting.focalLengthMm, setting.fNumber, confusionMm, distanceMm);
}

/**
 * Diameter of the Airy disk, 2.44 lambda N, in mm on the sensor for green light: the smallest spot an aperture lets the lens draw.
 *
 * @see Airy 1835; first zero of the pattern of a round hole
 */
export function airyDiameterMm(fNumber: number): number {
  return 2.44 * WAVELENGTH_MM * fNumber;
}

/** The same in pixels of the photo, its sensor's size taken from the 35 mm equivalent. */
export function airyDiameterPx(setting: LensSetting, widthPx: number, heightPx: number): number {
  const pixelMm = (FRAME_DIAGONAL_MM * sensorScale(setting)) / Math.hypot(widthPx, heightPx);
  return airyDiameterMm(setting.fNumber) / pixelMm;
}

/**
 * Depth of the subject that a photo shows, front to outline, mm: half its width, which holds for a round one.
 *
 * @param areaRatio share of the frame that the subject fills, 0 to 1
 */
export function subjectDepthMm(
  areaRatio: number,
  { focalLength35Mm }: Pick<LensSetting, "focalLength35Mm">,
  widthPx: number,
  heightPx: number,
  distanceMm: number,
): number {
  const focalPx = (focalLength35Mm / FRAME_DIAGONAL_MM) * Math.hypot(widthPx, heightPx);
  const radiusPx = Math.sqrt((areaRatio * widthPx * heightPx) / Math.PI);
  return (radiusPx / focalPx) * distanceMm;
}
