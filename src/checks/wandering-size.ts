import { median } from "../measure/statistics.js";
import { defineCheck, limit, measure, valued } from "./define.js";
import { knownSubject, subjectLimits } from "./subject.js";

export const wanderingSize = defineCheck({
  id: "wandering-size",
  title: "the subject larger or smaller than in the photos around",
  serves: "subject-in-frame",
  measures:
    "How large one and the same thing comes out at the subject's place, by the camera's distance and lens, held against the photos before it and against those after it: the nearer of the two counts.",
  why: "Photos match best with those of like size, and texture is taken from the closest: a lone step leaves a patch.",
  advice: "Keep the distance on the way round; go closer for a whole round, not for one photo.",
  needs: ["other photos"],
  limits: {
    change: limit(
      0.5,
      "stops",
      "a hand that wavers stays within 0.2; the matching of keypoints stands 0.8: docs/evaluation-subject.md; our choice between",
    ),
    ...subjectLimits,
  },
  judge(facts, limits) {
    const sizes = facts.photos.map((photo) => knownSubject(photo, limits)?.scaleOffsetStops?.value);
    const changes = fromBothSides(sizes);
    const { known, skipped } = valued(facts.photos, changes, "not known where it was taken from");
    const odd = known.filter(({ value }) => Math.abs(value) >= limits.change.value);
    return {
      findings: odd.map(({ file, value }) => ({
        about: "photo",
        severity: "note",
        photos: [file],
        measured: measure(value, "stops"),
        limit: limits.change,
        message: `${file} shows the subject ${(2 ** Math.abs(value)).toFixed(1)} times ${value > 0 ? "larger" : "smaller"} than the photos around it do.`,
        advice: "Usable; the photos hold together better when the distance stays the same on the way round.",
      })),
      skipped,
    };
  },
});

/**
 * Photos on each side that one is held against, few, so that a walk which slowly comes nearer is no step; and how many of
 * them have to have a value, so that one alone does not accuse.
 */
const REACH = 4;
const FEWEST = 2;

/**
 * Each value less the median of those before or of those after, whichever is nearer: a closer round begins or ends with a
 * step on one side alone. The first and last photos have one side. Undefined where both have too few.
 */
function fromBothSides(values: readonly (number | undefined)[]): (number | undefined)[] {
  const middle = (from: number, to: number): number | undefined => {
    const side = values.slice(Math.max(0, from), to).filter((value) => value !== undefined);
    return side.length < FEWEST ? undefined : median(side);
  };
  return values.map((value, i) => {
    const [before, after] = [middle(i - REACH, i), middle(i + 1, i + 1 + REACH)];
    if (value === undefined || (before === undefined && after === undefined)) return undefined;
    const changes = [before, after].flatMap((side) => (side === undefined ? [] : [value - side]));
    return changes.every((change) => change > 0) || changes.every((change) => change < 0)
      ? changes.reduce((a, b) => (Math.abs(b) < Math.abs(a) ? b : a))
      : 0;
  });
}
