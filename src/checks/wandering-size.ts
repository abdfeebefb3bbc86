import { defineCheck, limit, measure } from "./define.js";
import { againstAround } from "./local.js";
import { knownSubject } from "./subject.js";

export const wanderingSize = defineCheck({
  id: "wandering-size",
  title: "the subject larger or smaller than in the photos around",
  measures:
    "How large one and the same thing comes out at the subject's place, by the camera's distance and lens, held against the photos around it.",
  why: "Photos match best with those of like size, and texture is taken from the closest: a lone step leaves a patch.",
  advice: "Keep the distance on the way round; go closer for a whole round, not for one photo.",
  limits: {
    change: limit(
      0.5,
      "stops",
      "a hand that wavers stays within 0.2; the matching of keypoints stands 0.8: docs/evaluation-subject.md; our choice between",
    ),
  },
  judge(facts, limits) {
    const changes = againstAround(facts.photos.map((photo) => knownSubject(photo)?.scaleOffsetStops?.value));
    const unknown = facts.photos.filter((_, i) => changes[i] === undefined).map(({ file }) => file);
    return {
      findings: facts.photos.flatMap(({ file }, i) => {
        const change = changes[i];
        if (change === undefined || Math.abs(change) < limits.change.value) return [];
        return [
          {
            about: "photo" as const,
            severity: "note" as const,
            photos: [file],
            measured: measure(change, "stops"),
            limit: limits.change,
            message: `${file} shows the subject ${(2 ** Math.abs(change)).toFixed(1)} times ${change > 0 ? "larger" : "smaller"} than the photos around it do.`,
            advice:
              "Usable; the photos hold together better when the distance stays the same on the way round.",
          },
        ];
      }),
      skipped: unknown.length === 0 ? [] : [{ photos: unknown, reason: "not known where it was taken from" }],
    };
  },
});
