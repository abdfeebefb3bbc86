import type { RgbImage } from "../types/pixels.js";
import { type ExifTags, exifSegment, spliceSegment } from "./exif.js";
import type { SetOptions } from "./options.js";
import type { PhotoPlan } from "./plan.js";

const fNumber = 1.8;
/** Focal length over its 35 mm equivalent: a sensor of 7 mm diagonal. */
const focalShare = 1 / 6.2;

/** Invented coordinates on the open sea, south of the Atlantic's trade routes. */
const openSea = { latitude: -42.5, longitude: -20.25 };

/** What the phone writes into photo `photo`. */
export function exifTags(options: SetOptions, photo: PhotoPlan): ExifTags {
  let { iso, exposureTimeS } = options;
  let zoom = 1;
  let digitalZoom: number | undefined;
  let location: ExifTags["location"];
  exposureTimeS *= 2 ** photo.ownExposureStops;
  for (const fault of photo.faults) {
    if (fault.kind === "exposure" && fault.said) exposureTimeS *= 2 ** fault.stops;
    if (fault.kind === "noise") {
      exposureTimeS *= iso / fault.iso;
      iso = fault.iso;
    }
    if (fault.kind === "zoom") {
      zoom *= fault.factor;
      if (fault.digital) digitalZoom = fault.factor;
    }
    if (fault.kind === "location") location = openSea;
  }
  const optical = digitalZoom === undefined ? zoom : zoom / digitalZoom;
  return {
    make: "Limelight",
    model: "Prompt 3",
    software: "Prompt 3.1.4",
    lens: `Prompt 3 back camera ${(options.focalLength35Mm * focalShare).toFixed(1)}mm f/${fNumber}`,
    orientation: photo.orientation,
    exposureTimeS,
    fNumber,
    iso,
    focalLengthMm: options.focalLength35Mm * focalShare * optical,
    focalLength35Mm: options.focalLength35Mm * zoom,
    ...(digitalZoom === undefined ? {} : { digitalZoom }),
    exposureMode: options.exposureMode,
    whiteBalance: options.whiteBalance,
    flashFired: false,
    widthPx: options.widthPx,
    heightPx: options.heightPx,
    capturedMs: photo.capturedMs,
    offset: "+02:00",
    ...(location === undefined ? {} : { location }),
  };
}

/** The picture as the sensor stores it: EXIF orientation 6 or 8 turns it back for viewing. */
export function storedImage(upright: RgbImage, orientation: 1 | 6 | 8): RgbImage {
  if (orientation === 1) return upright;
  const { width, height, data } = upright;
  const out = new Uint8Array(data.length);
  let at = 0;
  for (let row = 0; row < width; row++) {
    for (let column = 0; column < height; column++) {
      // 6: turned a quarter anticlockwise for storing; 8: a quarter clockwise.
      const x = orientation === 6 ? width - 1 - row : row;
      const y = orientation === 6 ? column : height - 1 - column;
      const from = 3 * (y * width + x);
      out[at++] = data[from];
      out[at++] = data[from + 1];
      out[at++] = data[from + 2];
    }
  }
  return { width: height, height: width, data: out };
}

/** JPEG bytes of an upright picture with the EXIF of photo `photo`. */
export async function encodePhoto(
  options: SetOptions,
  photo: PhotoPlan,
  upright: RgbImage,
): Promise<Uint8Array> {
  const { default: sharp } = await import("sharp");
  const { width, height, data } = storedImage(upright, photo.orientation);
  const jpeg = await sharp(data, { raw: { width, height, channels: 3 } })
    .jpeg({ quality: options.quality, chromaSubsampling: "4:2:0" })
    .toBuffer();
  return options.exif === "none" ? jpeg : spliceSegment(jpeg, exifSegment(exifTags(options, photo)));
}
