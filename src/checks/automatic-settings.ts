import type { Facts } from "../types/facts.js";
import { defineCheck, limit, measure } from "./define.js";
import { exposureSpread, filesWithout } from "./exif.js";

/** What a phone writes into EXIF does not tell a locked exposure from a free one; that it never moved does. */
const heldStill = (facts: Facts, stops: number): boolean =>
  filesWithout(facts, "ev100").length === 0 && (exposureSpread(facts.photos) ?? 0) <= stops;

export const automaticSettings = defineCheck({
  id: "automatic-settings",
  title: "exposure or white balance left on automatic",
  serves: "even-exposure",
  measures:
    "How many photos EXIF says were taken with automatic exposure or white balance. Exposure counts only where it moved in the set.",
  why: "An automatic camera sets itself anew for each view: brightness and colour of one surface drift from photo to photo.",
  advice: "Lock exposure and white balance on the subject before the first photo.",
  needs: ["camera settings"],
  limits: {
    still: limit(
      0.1,
      "stops",
      "the smallest step of a camera is 1/3 stop (common practice, no source); rounded EXIF values of one setting differ by less than this",
    ),
  },
  judge(facts, limits) {
    const on = (name: "exposureMode" | "whiteBalance") =>
      facts.photos.filter(({ exif }) => exif[name] === "auto").length;
    const exposure = heldStill(facts, limits.still.value) ? 0 : on("exposureMode");
    const balance = on("whiteBalance");
    const skipped = [filesWithout(facts, "exposureMode"), filesWithout(facts, "whiteBalance")]
      .filter((photos) => photos.length > 0)
      .slice(0, 1)
      .map((photos) => ({ photos, reason: "EXIF does not say how exposure or white balance was set" }));
    if (exposure === 0 && balance === 0) return { findings: [], skipped };
    const what =
      exposure === 0
        ? "White balance was"
        : balance === 0
          ? "Exposure was"
          : "Exposure and white balance were";
    const count = Math.max(exposure, balance);
    const where =
      count === facts.photos.length ? "all photos" : count === 1 ? "one photo" : `${count} photos`;
    return {
      findings: [
        {
          about: "set",
          severity: "note",
          photos: [],
          measured: measure(count, "photos"),
          message: `${what} left to the camera in ${where}.`,
          advice: "Next time lock both on the subject before the first photo.",
        },
      ],
      skipped,
    };
  },
});
