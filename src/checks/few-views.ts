import { clockOf, placedLimits, placedParts } from "./around.js";
import { defineCheck, limit, measure } from "./define.js";

/**
 * A direction with no photo this near in azimuth lies in a gap or an open ring, which is reported already: twice this is more
 * than the widest step that still matches.
 */
const BESIDE_DEG = 15;
/** Surfaces that face up more than this are spoken of as the top: of the rows measured, the one at 90 degrees, not 60. */
const TOP_DEG = 75;

export const fewViews = defineCheck({
  id: "few-views",
  title: "sides seen in too few photos",
  serves: "around-subject",
  measures:
    "In how many photos a surface that faces each way is seen within 60 degrees of its normal: level, 30 and 60 degrees up, and straight up.",
  why: "A point is placed well where three photos or more show it; two leave nothing to check it by.",
  advice: "Add photos that look straight at the sides named.",
  needs: ["other photos"],
  limits: {
    views: limit(
      3,
      "photos",
      "important areas in three images or more: Center for Advanced Spatial Technologies, University of Arkansas, photogrammetry guide",
    ),
    ...placedLimits,
  },
  judge(facts, limits) {
    const { parts, skipped } = placedParts(facts, limits);
    const part = parts[0];
    if (part === undefined) return { findings: [], skipped };
    const { elevationsDeg, azimuthsDeg, counts } = part.viewsPerDirection;
    const beside = (azimuthDeg: number): boolean =>
      part.cameras.some((camera) => {
        const apart = Math.abs(camera.azimuthDeg - azimuthDeg) % 360;
        return Math.min(apart, 360 - apart) <= BESIDE_DEG;
      });
    // Where nothing was taken from above, missing-band says so.
    const above = part.bands.some(({ name }) => name === "high" || name === "overhead");
    const few = elevationsDeg.flatMap((elevationDeg, row) =>
      azimuthsDeg.flatMap((azimuthDeg, column) =>
        counts[row][column] < limits.views.value && (elevationDeg > TOP_DEG ? above : beside(azimuthDeg))
          ? [{ elevationDeg, azimuthDeg, count: counts[row][column] }]
          : [],
      ),
    );
    if (few.length === 0) return { findings: [], skipped };
    const top = few.some(({ elevationDeg }) => elevationDeg > TOP_DEG);
    const hours = [
      ...new Set(
        few
          .filter(({ elevationDeg }) => elevationDeg <= TOP_DEG)
          .map(({ azimuthDeg }) => clockOf(azimuthDeg)),
      ),
    ].sort((a, b) => ((a + 6) % 12) - ((b + 6) % 12));
    const sides = [
      ...(top ? ["the top"] : []),
      ...(hours.length === 0
        ? []
        : [hours.length === 12 ? "all sides" : `the side at ${hours.join(", ")} o'clock`]),
    ];
    return {
      findings: [
        {
          about: "set",
          severity: "note",
          photos: [],
          measured: measure(Math.min(...few.map(({ count }) => count)), "photos"),
          limit: limits.views,
          message: `Seen in fewer than ${limits.views.value} photos: ${sides.join(" and ")}.`,
          advice: "If that side matters, add photos that look straight at it.",
        },
      ],
      skipped,
    };
  },
});
