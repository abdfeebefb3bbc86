import { defineCheck, limit, measure, skippedFor } from "./define.js";

export const fewPixels = defineCheck({
  id: "few-pixels",
  title: "small pictures",
  serves: "clean-tones",
  measures: "Pixels of each photo, width times height.",
  why: "Fewer pixels on the subject is less detail in the model and fewer points to match.",
  advice:
    "Set the camera to its full size, and copy the originals rather than files sent through a messenger.",
  limits: {
    fewest: limit(5, "megapixels", "5 MP or more: Swedish National Heritage Board, 3D-model guide"),
  },
  judge(facts, limits) {
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
