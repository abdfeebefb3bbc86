import type { PhotoResult } from "#goodgate/pipeline/read-photo.js";
import type { Exif } from "#goodgate/types/exif.js";

/** What the audit says of a file, in a few words. */
export function told(result: PhotoResult): string {
  if ("unreadable" in result) return `cannot be read: ${result.unreadable.reason}`;
  if ("unsupported" in result) return "raw without a preview inside: not measured";
  if ("postponed" in result) return "too large to be read beside others";
  const { widthPx, heightPx, exif, rawPreview } = result.facts;
  const size = `${widthPx} x ${heightPx} px`;
  const seen = rawPreview === undefined ? size : `judged by the ${size} preview inside`;
  const rest = rawPreview?.whole === false ? ", and ends early: to be copied again" : "";
  return [seen + rest, ...exifInWords(exif)].join("; ");
}

function exifInWords(exif: Exif): string[] {
  const { make, model, exposureTimeS, fNumber, iso, focalLengthMm, focalLength35Mm, orientation } = exif;
  const words = [
    make === undefined && model === undefined ? "" : `${make ?? ""} ${model ?? ""}`.trim(),
    exposureTimeS === undefined ? "" : shutter(exposureTimeS),
    fNumber === undefined ? "" : `f/${fNumber}`,
    iso === undefined ? "" : `ISO ${iso}`,
    focalLengthMm === undefined ? "" : `${Number(focalLengthMm.toPrecision(4))} mm`,
    focalLength35Mm === undefined ? "" : `(${focalLength35Mm} mm eq)`,
    orientation === undefined ? "" : `orientation ${orientation}`,
    exif.hasLocation ? "place stored" : "",
  ].filter((word) => word !== "");
  return words.length === 0 ? ["no EXIF used"] : [words.join(", ").replace(", (", " (")];
}

function shutter(seconds: number): string {
  return seconds < 0.4 ? `1/${Math.round(1 / seconds)} s` : `${Number(seconds.toPrecision(3))} s`;
}
