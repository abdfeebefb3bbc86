import type { PhotoFacts } from "../types/facts.js";
import type { Limit } from "../types/units.js";
import { type Draft, defineCheck, limit, measure, skippedFor } from "./define.js";

export const fewPixels = defineCheck({
  id: "few-pixels",
  title: "small pictures",
  serves: "clean-tones",
  measures: "Pixels of each photo, width times height.",
  why: "Fewer pixels on the subject is less detail in the model and fewer points to match.",
  advice:
    "Set the camera to its full size, and copy the originals rather than files sent through a messenger.",
  limits: {
    least: limit(
      0.25,
      "megapixels",
      "of a rendered ring neighbours share 668 verified matches at 0.48 megapixels, 78 at 0.02; real rings made as small as 0.13 and 0.23 fell into pieces (23 of 33 photos joined, 14 of 40): docs/evaluation-gate.md",
      [0.01, 1000],
    ),
    fewest: limit(5, "megapixels", "5 MP or more: Swedish National Heritage Board, 3D-model guide"),
  },
  judge(facts, limits) {
    const tiny = facts.photos.filter(
      ({ widthPx, heightPx, rawPreview }) =>
        rawPreview === undefined && (widthPx * heightPx) / 1e6 < limits.least.value,
    );
    if (2 * tiny.length > facts.photos.length)
      return { findings: [thumbnails(tiny, limits.least)], skipped: [] };
    const below = facts.photos.filter(
      ({ widthPx, heightPx }) => (widthPx * heightPx) / 1e6 < limits.fewest.value,
    );
    // A camera's preview may be small where the raw photo is not.
    const small = below.filter(({ rawPreview }) => rawPreview === undefined);
    const previews = below.filter(({ rawPreview }) => rawPreview !== undefined).map(({ file }) => file);
    const skipped = skippedFor(previews, "only the preview inside the raw photo was looked at");
    if (small.length === 0) return { findings: [], skipped };
    const smallest = Math.min(...small.map(({ widthPx, heightPx }) => (widthPx * heightPx) / 1e6));
    return {
      findings: [
        {
          about: "photo",
          severity: "note",
          photos: small.map(({ file }) => file),
          measured: measure(smallest, "megapixels"),
          limit: limits.fewest,
          message:
            small.length === 1
              ? `${small[0].file} is small: ${smallest.toFixed(1)} megapixels.`
              : `These photos are small: the smallest has ${smallest.toFixed(1)} megapixels.`,
          advice:
            "Check that the camera saves its full size and that you copied the originals, not copies made smaller on the way.",
        },
      ],
      skipped,
    };
  },
});

/** Copies made for a screen: nothing that the camera saw stays in them that a model could be made of. */
function thumbnails(tiny: readonly PhotoFacts[], least: Limit): Draft {
  const { widthPx, heightPx } = tiny[0];
  return {
    about: "set",
    severity: "reshoot",
    whatItIs: "alone",
    photos: tiny.map(({ file }) => file),
    measured: measure((widthPx * heightPx) / 1e6, "megapixels"),
    limit: least,
    message: `The photos are thumbnails: ${widthPx} x ${heightPx} px is too small to make a model of.`,
    advice:
      "Copy the originals from the camera instead of files that a messenger, a web page or a preview made smaller.",
  };
}
