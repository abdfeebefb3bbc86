import { defineCheck, inStops, limit, measure, skippedFor } from "./define.js";
import { exposureSpread, filesWithout } from "./exif.js";

export const changingSettings = defineCheck({
  id: "changing-settings",
  title: "exposure and white balance not locked",
  serves: "even-exposure",
  measures: "Spread of the exposure value at ISO 100 over the set, and whether the flash fired, from EXIF.",
  why: "What the camera decides anew for each photo shows as patches of brightness and colour on the model.",
  advice:
    "Lock exposure, white balance and focus on the subject before the first photo, and leave the flash off.",
  needs: ["camera settings"],
  limits: {
    spread: limit(
      1,
      "stops",
      "no tolerance is published; 1/3 stop is a camera's smallest step and 1 stop three of them; our choice",
    ),
  },
  judge(facts, limits) {
    const without = filesWithout(facts, "ev100");
    const skipped = skippedFor(without, "no exposure settings in EXIF");
    const spread = exposureSpread(facts.photos) ?? 0;
    const notes = [];
    if (spread > limits.spread.value) {
      notes.push({
        about: "set" as const,
        severity: "note" as const,
        photos: [],
        measured: measure(spread, "stops"),
        limit: limits.spread,
        message: `The camera changed its exposure by ${inStops(spread)} over the set.`,
        advice: "Next time lock the exposure on the subject before the first photo.",
      });
    }
    const flash = facts.photos.filter(({ exif }) => exif.flashFired === true).map(({ file }) => file);
    if (flash.length > 0) {
      notes.push({
        about: "photo" as const,
        severity: "note" as const,
        photos: flash,
        measured: measure(flash.length, "photos"),
        message: `The flash fired in ${flash.length === 1 ? flash[0] : "these photos"}: its shadows and highlights move with the camera.`,
        advice: "Leave the flash off and light the set from two sides instead.",
      });
    }
    return { findings: notes, skipped };
  },
});
