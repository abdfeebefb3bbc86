import { median } from "../measure/statistics.js";
import type { Exif, PhotoFacts } from "../types.js";
import { defineCheck, limit, measure } from "./define.js";

export const zoomedPhoto = defineCheck({
  id: "zoomed-photo",
  title: "photos at another zoom or lens",
  measures: "Focal length (35 mm equivalent) times digital zoom, from EXIF, against the set's middle value.",
  why: "The reconstruction takes one lens for the whole set; a changed zoom or lens bends the model or drops the photo.",
  advice: "Leave the zoom alone and stay on one lens; step closer instead, and look behind you.",
  limits: {
    change: limit(
      1.03,
      "times",
      "a zoom change invalidates the calibration: ADS Guides to Good Practice, Close-Range Photogrammetry (Barnes); 3 % leaves room for rounded EXIF: 26 and 27 mm differ by 4 %",
    ),
    shareOnPurpose: limit(
      0.2,
      "ratio",
      "more than a fifth of a set at another lens is taken for intent; our choice",
    ),
  },
  judge(facts, limits) {
    const known = facts.photos.filter((photo) => zoomOf(photo.exif) !== undefined);
    const unknown = facts.photos.filter((photo) => zoomOf(photo.exif) === undefined).map(({ file }) => file);
    const skipped = unknown.length === 0 ? [] : [{ photos: unknown, reason: "no focal length in EXIF" }];
    if (known.length < 3) return { findings: [], skipped };
    const usual = median(known.map((photo) => zoomOf(photo.exif)!));
    const factor = (photo: PhotoFacts) => zoomOf(photo.exif)! / usual;
    const odd = known.filter((photo) => Math.max(factor(photo), 1 / factor(photo)) > limits.change.value);
    if (odd.length > limits.shareOnPurpose.value * known.length) {
      return {
        findings: [
          {
            about: "set",
            severity: "note",
            photos: odd.map(({ file }) => file),
            measured: measure(odd.length / known.length, "ratio"),
            limit: limits.shareOnPurpose,
            message: `${odd.length === 1 ? `${odd[0].file} was` : "These photos were"} taken at another zoom or lens than the rest.`,
            advice:
              "If that was on purpose, tell the upload service that there are two cameras, or upload the two groups one after the other.",
          },
        ],
        skipped,
      };
    }
    return {
      findings: odd.map((photo) => ({
        about: "photo",
        severity: "reshoot",
        photos: [photo.file],
        measured: measure(Math.max(factor(photo), 1 / factor(photo)), "times"),
        limit: limits.change,
        message: `${photo.file} was taken at another zoom or lens: ${Math.round(zoomOf(photo.exif)!)} mm where the others have ${Math.round(usual)} mm (35 mm equivalent).`,
        advice: "Take it again without zooming; step closer if the subject is small.",
      })),
      skipped,
    };
  },
});

/**
 * 35 mm equivalent with the digital zoom in it. Phones differ in whether FocalLengthIn35mmFilm already holds the
 * digital zoom; both ways a zoomed photo stands out, so it is enough to multiply.
 */
function zoomOf(exif: Exif): number | undefined {
  const focal = exif.focalLength35Mm ?? exif.focalLengthMm;
  return focal === undefined ? undefined : focal * (exif.digitalZoom ?? 1);
}
