import { inDegrees, isSplit, placedLimits, placedParts, WAY_ROUND } from "./around.js";
import { defineCheck, limit, measure } from "./define.js";

export const oneSide = defineCheck({
  id: "one-side",
  title: "a walk in front of one side only",
  serves: "around-subject",
  measures:
    "The widest stretch of the way round that no photo was taken from, at whatever height, where all of the way round is wanted.",
  why: "The side that no photo faces is missing from the model; where that is meant so, the program has to be told.",
  advice:
    "Walk on round the subject. Of a prop against a wall, or a relief, say how much is wanted: --span 180 judges half of the way round.",
  needs: ["other photos"],
  limits: {
    unseen: limit(
      150,
      "degrees",
      "less than 210 degrees seen is one side and a little more; our choice",
      WAY_ROUND,
    ),
    ...placedLimits,
  },
  judge(facts, limits) {
    const { parts, skipped } = placedParts(facts, limits);
    const [part] = parts;
    if (part === undefined || facts.around.wantedSpanDeg < 360 || isSplit(facts))
      return { findings: [], skipped };
    const azimuths = part.cameras
      .filter(({ elevationDeg }) => elevationDeg < OVERHEAD_DEG)
      .map(({ azimuthDeg }) => azimuthDeg)
      .sort((a, b) => a - b);
    if (azimuths.length === 0) return { findings: [], skipped };
    const steps = azimuths.map((at, i) => (azimuths[i + 1] ?? azimuths[0] + 360) - at);
    const unseen = Math.max(...steps);
    if (unseen <= limits.unseen.value) return { findings: [], skipped };
    const seen = 360 - unseen;
    return {
      findings: [
        {
          about: "set",
          severity: "reshoot",
          whatItIs: "first",
          // What it lacks beyond this side is said here, and asks for no photos until more is wanted.
          insteadOf: "open-ring",
          photos: part.photos,
          measured: measure(unseen, "degrees"),
          limit: limits.unseen,
          message: `The photos show one side only: they go ${inDegrees(seen)} of the way round.`,
          advice: `Walk on around the back. If only this side is wanted (a prop against a wall, a relief), run again with --span ${spanFor(seen)}: then only that much of the way round has to be seen; how many photos, in what steps and how sharp stays as it is.`,
        },
      ],
      skipped,
    };
  },
});

/** Straight above there is no direction. */
const OVERHEAD_DEG = 65;

/** What one would type for a walk of so many degrees: whole tens, no more than was walked. */
function spanFor(seenDeg: number): number {
  return Math.max(10, 10 * Math.floor(seenDeg / 10));
}
