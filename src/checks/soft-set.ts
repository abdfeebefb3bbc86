import { median } from "../measure/statistics.js";
import { defineCheck, limit, measure, skippedFor } from "./define.js";

export const softSet = defineCheck({
  id: "soft-set",
  title: "all photos soft",
  serves: "sharp-set",
  measures:
    "Fine over mid detail in the sharpest twentieth of each frame's tiles, noise removed, as the set's middle value: whatever is in focus in a photo is sharp, however plain the rest.",
  why: "Where every photo is soft, none stands out against its neighbours, and the model comes out as a lump.",
  advice: "Wipe the lens, check the focus at full size on the phone, and take the set again.",
  limits: {
    sharpest: limit(
      0.15,
      "times",
      "a Gaussian of sigma 1.5 px, at a long edge of 1,920 px, leaves 0.12 at the most, of sigma 3 px 0.06; the middle values of sharp sets are 0.45 and more: docs/evaluation-gate.md",
    ),
  },
  judge(facts, limits) {
    const known = facts.photos.filter(({ measures }) => measures.sharpestBandRatio !== undefined);
    const unknown = facts.photos.filter((photo) => !known.includes(photo)).map(({ file }) => file);
    const skipped = skippedFor(unknown, "nothing in the frame has structure");
    if (known.length === 0) return { findings: [], skipped };
    const value = median(known.map(({ measures }) => measures.sharpestBandRatio!.value));
    if (value >= limits.sharpest.value) return { findings: [], skipped };
    return {
      findings: [
        {
          about: "set",
          severity: "reshoot",
          whatItIs: "alone",
          anew: true,
          photos: [],
          measured: measure(value, "times"),
          limit: limits.sharpest,
          message: "The photos are soft throughout: nothing in them is sharp.",
          advice:
            "Wipe the lens, look at one photo at full size, and take the set again with the focus locked on the subject.",
        },
      ],
      skipped,
    };
  },
});
