/**
 * The EXIF tags that stay in a file that is sent on, in whichever directory a writer put them: what tells how a picture was
 * taken and how to show it. Everything else goes, so that a tag that nobody thought of gives nothing away: location, serial numbers, names of
 * people, comments, maker notes, unique ids, thumbnails.
 * @see Exif 2.32 (CIPA DC-008-2019), tables 4, 7 and 8; numbers from memory, held against exiftool in the tests
 */

export const KEPT_TAGS: ReadonlySet<number> = new Set([
  0x010f, // Make
  0x0110, // Model
  0x0112, // Orientation
  0x011a, // XResolution
  0x011b, // YResolution
  0x0128, // ResolutionUnit
  0x0131, // Software
  0x0132, // DateTime
  0x013e, // WhitePoint
  0x013f, // PrimaryChromaticities
  0x0211, // YCbCrCoefficients
  0x0213, // YCbCrPositioning
  0x0214, // ReferenceBlackWhite
  0x829a, // ExposureTime
  0x829d, // FNumber
  0x8822, // ExposureProgram
  0x8827, // PhotographicSensitivity
  0x8830, // SensitivityType
  0x8831, // StandardOutputSensitivity
  0x8832, // RecommendedExposureIndex
  0x8833, // ISOSpeed
  0x9000, // ExifVersion
  0x9003, // DateTimeOriginal
  0x9004, // DateTimeDigitized
  0x9010, // OffsetTime
  0x9011, // OffsetTimeOriginal
  0x9012, // OffsetTimeDigitized
  0x9101, // ComponentsConfiguration
  0x9102, // CompressedBitsPerPixel
  0x9201, // ShutterSpeedValue
  0x9202, // ApertureValue
  0x9203, // BrightnessValue
  0x9204, // ExposureBiasValue
  0x9205, // MaxApertureValue
  0x9206, // SubjectDistance
  0x9207, // MeteringMode
  0x9208, // LightSource
  0x9209, // Flash
  0x920a, // FocalLength
  0x9214, // SubjectArea
  0x9290, // SubSecTime
  0x9291, // SubSecTimeOriginal
  0x9292, // SubSecTimeDigitized
  0xa000, // FlashpixVersion
  0xa001, // ColorSpace
  0xa002, // PixelXDimension
  0xa003, // PixelYDimension
  0xa20e, // FocalPlaneXResolution
  0xa20f, // FocalPlaneYResolution
  0xa210, // FocalPlaneResolutionUnit
  0xa214, // SubjectLocation, a place in the picture
  0xa215, // ExposureIndex
  0xa217, // SensingMethod
  0xa300, // FileSource
  0xa301, // SceneType
  0xa401, // CustomRendered
  0xa402, // ExposureMode
  0xa403, // WhiteBalance
  0xa404, // DigitalZoomRatio
  0xa405, // FocalLengthIn35mmFilm
  0xa406, // SceneCaptureType
  0xa407, // GainControl
  0xa408, // Contrast
  0xa409, // Saturation
  0xa40a, // Sharpness
  0xa40c, // SubjectDistanceRange
  0xa432, // LensSpecification
  0xa433, // LensMake
  0xa434, // LensModel
  0xa500, // Gamma
]);

/** Tags that count pixels of the file as it was: false of a picture that was made smaller. */
export const PIXEL_TAGS: ReadonlySet<number> = new Set([
  0x9214, 0xa002, 0xa003, 0xa20e, 0xa20f, 0xa210, 0xa214,
]);

export const ORIENTATION = 0x0112;
/** Where the first directory points to the second. */
export const EXIF_DIRECTORY = 0x8769;
