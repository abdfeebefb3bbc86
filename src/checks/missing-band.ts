import type { BandName } from "../types/around.js";
import { howToHold, placedLimits, placedParts } from "./around.js";
import { defineCheck, limit, measure } from "./define.js";

/** The heights that common practice asks for; overhead photos stand in for high ones. */
const HEIGHTS: readonly {
  readonly name: BandName;
  readonly bands: readonly BandName[];
  readonly words: string;
}[] = [
  { name: "low", bands: ["low"], words: "from low down (under 15 degrees)" },
  { name: "middle", bands: ["middle"], words: "from middle height (15 to 40 degrees)" },
  { name: "high", bands: ["high", "overhead"], words: "from high up (over 40 degrees)" },
];

export const missingBand = defineCheck({
  id: "missing-band",
  title: "heights that no photo was taken from",
  serves: "around-subject",
  measures:
    "The angle of each camera above the level of the subject, sorted into low, middle and high, with overhead counted as high.",
  why: "What faces up is seen only from above, what hangs over only from below; a ring of one height leaves both out.",
  advice: "Walk round once at each of three heights.",
  needs: ["other photos"],
  limits: {
    heights: limit(
      3,
      "photos",
      "a height counts with three photos, since each part has to be seen in three; three heights are common practice, no source",
    ),
    ...placedLimits,
  },
  judge(facts, limits) {
    const { parts, skipped } = placedParts(facts, limits);
    if (parts.length === 0) return { findings: [], skipped };
    const taken = (names: readonly BandName[]): number =>
      facts.around.parts
        .flatMap(({ bands }) => bands)
        .filter(({ name }) => names.includes(name))
        .reduce((sum, { photos }) => sum + photos.length, 0);
    const missing = HEIGHTS.filter(({ bands }) => taken(bands) < limits.heights.value);
    if (missing.length === 0) return { findings: [], skipped };
    const fewest = Math.min(...missing.map(({ bands }) => taken(bands)));
    return {
      findings: [
        {
          about: "set",
          // A vase that is only seen at eye level may do with one ring, so this never fails a set: the artist decides.
          severity: "note",
          photos: [],
          measured: measure(fewest, "photos"),
          limit: limits.heights,
          message: `${fewest === 0 ? "Nothing" : "Hardly anything"} was taken ${missing.map(({ words }) => words).join(", nor ")}.`,
          advice: `If these sides matter, walk round once more: ${missing.map(({ name }) => howToHold[name]).join("; then ")}.`,
        },
      ],
      skipped,
    };
  },
});
