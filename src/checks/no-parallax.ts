import { median } from "../measure/statistics.js";
import type { PairFacts } from "../types/pair.js";
import { defineCheck, limit, measure } from "./define.js";
import { linkMatches, partsOf } from "./links.js";

export const noParallax = defineCheck({
  id: "no-parallax",
  title: "photos that show no depth",
  serves: "around-subject",
  measures:
    "Of the matches two photos share, the part that one plane, or one turn of the camera on the spot, explains as well: its lower quartile over all pairs that are linked.",
  why: "Depth is told by how near and far things move against one another; where nothing does, there is no shape to work out.",
  advice: "Walk around the subject, a step to the side for every photo.",
  needs: ["other photos"],
  limits: {
    plane: limit(
      0.95,
      "ratio",
      "one view zoomed, and walks past flat pictures, have 0.95 and more in any pair; rings round props before a wall 0.66 as the lower quartile, three real captures 0.35 at the most: docs/evaluation-gate.md",
    ),
    joined: limit(0.5, "ratio", "it is said of a set only where more than half of it is joined; our choice"),
    moved: limit(
      0.03,
      "ratio",
      "of the long edge, as the middle value of what matches moved: zooming by 4 % a photo moves them by 0.02, walks past flat pictures by 0.06 and more: docs/evaluation-gate.md; our choice between",
    ),
    matches: linkMatches,
  },
  judge(facts, limits) {
    const { photos, pairs } = facts;
    const linked = pairs.filter(({ verifiedMatches }) => verifiedMatches >= limits.matches.value);
    const shares = linked.flatMap(({ planeRatio }) => planeRatio ?? []);
    const joined = partsOf(facts, limits.matches.value)[0]?.length ?? 0;
    if (joined < 2 || joined <= limits.joined.value * photos.length || shares.length === 0)
      return { findings: [], skipped: [{ photos: [], reason: "too few photos share a surface" }] };
    const share = lowerQuartile(shares);
    if (share < limits.plane.value) return { findings: [], skipped: [] };
    const still = movedBy(linked) < limits.moved.value;
    return {
      findings: [
        {
          about: "set",
          severity: "reshoot",
          whatItIs: "alone",
          anew: true,
          photos: [],
          measured: measure(share, "ratio"),
          limit: limits.plane,
          message: still
            ? `All ${photos.length} photos were taken from one place: they show one and the same view.`
            : "These photos go past a flat thing, or turn on the spot: none shows it from another side.",
          advice: still
            ? "Walk around the subject: a photo every 10 to 15 degrees of the way round, at two or three heights."
            : "Walk around the subject with the camera kept on it. A flat thing, such as a picture on a wall, needs no model.",
        },
      ],
      skipped: [],
    };
  },
});

function lowerQuartile(values: readonly number[]): number {
  return values.toSorted((a, b) => a - b)[Math.floor((values.length - 1) / 4)];
}

function movedBy(linked: readonly PairFacts[]): number {
  const shifts = linked.flatMap(({ shiftRatio }) => shiftRatio ?? []);
  return shifts.length === 0 ? 0 : median(shifts);
}
