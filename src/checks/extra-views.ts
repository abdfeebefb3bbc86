import { atHeight, clockOf, isRing, placedLimits, placedParts } from "./around.js";
import { defineCheck, measure } from "./define.js";

export const extraViews = defineCheck({
  id: "extra-views",
  serves: "around-subject",
  title: "a few photos more at another height",
  measures:
    "How far round the photos of a height go, beside a ring at another one: until they go most of the way they are extra views.",
  why: "Extra views add detail where they look; they are no ring and need not close.",
  advice: "Nothing to do; if that height matters all round, walk round once more at it.",
  needs: ["other photos"],
  limits: { ...placedLimits },
  judge(facts, limits) {
    const { parts, skipped } = placedParts(facts, limits);
    const { wantedSpanDeg } = facts.around;
    const findings = parts.flatMap((part) => {
      if (!part.bands.some((band) => isRing(band, wantedSpanDeg))) return [];
      const azimuths = new Map(part.cameras.map(({ file, azimuthDeg }) => [file, azimuthDeg]));
      return part.bands
        .filter((band) => LEVEL.has(band.name) && !isRing(band, wantedSpanDeg))
        .map(({ name, photos }) => {
          const hours = new Set(photos.map((file) => clockOf(azimuths.get(file) ?? 0)));
          const clock = [...hours].sort((a, b) => ((a + 6) % 12) - ((b + 6) % 12)).join(", ");
          const [what, they] =
            photos.length === 1
              ? ["1 photo", "is an extra view"]
              : [`${photos.length} photos`, "are extra views"];
          return {
            about: "set" as const,
            severity: "note" as const,
            photos,
            measured: measure(photos.length, "photos"),
            message: `${what} ${atHeight[name]} ${they} and no ring of ${photos.length === 1 ? "its" : "their"} own: from about ${clock} o'clock.`,
            advice: "Nothing to do; if that height matters all round, walk round once more at it.",
          };
        });
    });
    return { findings, skipped };
  },
});

/** From straight above a few photos see all there is, and what is seen from below was laid over. */
const LEVEL: ReadonlySet<string> = new Set(["low", "middle", "high"]);
