import { FEWEST_FOR_MEDIAN } from "../measure/set/photos-around.js";
import { median } from "../measure/statistics.js";
import type { Exif } from "../types/exif.js";
import { defineCheck, limit, measure, valued } from "./define.js";

export const zoomedPhoto = defineCheck({
  id: "zoomed-photo",
  title: "photos at another zoom or lens",
  serves: "around-subject",
  measures:
    "Focal length (35 mm equivalent where stored) and digital zoom, from EXIF, each against the set's middle value.",
  why: "The reconstruction takes one lens for the whole set; a changed zoom or lens bends the model or drops the photo.",
  advice: "Leave the zoom alone and stay on one lens; step closer instead, and look behind you.",
  needs: ["camera settings"],
  limits: {
    change: limit(
      1.03,
      "times",
      "a zoom change invalidates the calibration: ADS Guides to Good Practice, Close-Range Photogrammetry (Barnes); 3 % is under a step of EXIF's whole millimetres at a phone's 26 mm (4 %) and over what a lens draws in or out as it focuses; our choice",
      // 1 is no change; phones zoom by 100 at the most.
      [1, 100],
    ),
    shareOnPurpose: limit(
      0.2,
      "ratio",
      "more than a fifth of a set at another lens is taken for intent; our choice",
    ),
  },
  judge(facts, limits) {
    const factors = zoomFactors(facts.photos.map(({ exif }) => exif));
    const { known, skipped } = valued(facts.photos, factors, "no focal length in EXIF");
    if (known.length < FEWEST_FOR_MEDIAN) return { findings: [], skipped };
    const odd = known.filter(({ value }) => timesOff(value) > limits.change.value);
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
      findings: odd.map(({ file, value }) => ({
        about: "photo",
        severity: "reshoot",
        photos: [file],
        measured: measure(timesOff(value), "times"),
        limit: limits.change,
        message: `${file} was taken at another zoom or lens: it brings the subject ${timesOff(value).toFixed(2)} times ${value > 1 ? "closer" : "further away"} than the others do.`,
        advice: "Take it again without zooming; step closer if the subject is small.",
      })),
      skipped,
    };
  },
});

/** How many times larger or smaller, whichever it is. */
function timesOff(factor: number): number {
  return Math.max(factor, 1 / factor);
}

/**
 * Each photo's angle of view against the set's middle value; undefined without a focal length. Phones differ in
 * whether the 35 mm equivalent already holds the digital zoom, so the two are not multiplied: the one that differs
 * more counts.
 */
function zoomFactors(photos: readonly Exif[]): (number | undefined)[] {
  const usual = (read: (exif: Exif) => number | undefined): number => {
    const values = photos.flatMap((exif) => read(exif) ?? []);
    return values.length === 0 ? 1 : median(values);
  };
  const usual35Mm = usual((exif) => exif.focalLength35Mm);
  const usualMm = usual((exif) => exif.focalLengthMm);
  const usualZoom = usual((exif) => exif.digitalZoom ?? 1);
  return photos.map(({ focalLength35Mm, focalLengthMm, digitalZoom = 1 }) => {
    const lens =
      focalLength35Mm === undefined ? (focalLengthMm ?? Number.NaN) / usualMm : focalLength35Mm / usual35Mm;
    if (Number.isNaN(lens)) return undefined;
    const zoom = digitalZoom / usualZoom;
    return Math.abs(Math.log(zoom)) > Math.abs(Math.log(lens)) ? zoom : lens;
  });
}
