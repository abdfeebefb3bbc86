import { defineCheck, limit, measure } from "./define.js";

export const tooFewPhotos = defineCheck({
  id: "too-few-photos",
  title: "too few photos to go round",
  serves: "enough-photos",
  measures: "How many different photos were read; copies of one file count once.",
  why: "Each part of the subject has to be seen in three photos or more, from all sides and at more than one height.",
  advice: "Walk round the subject once more at each height, a photo every 10 to 15 degrees.",
  limits: {
    fewest: limit(
      16,
      "photos",
      "one ring at a sixteenth of a turn: Nicolae, Nocerino, Menna & Remondino 2014, Problematic artefacts (ISPRS)",
    ),
    comfortable: limit(
      36,
      "photos",
      "one ring at 10 degrees: Swedish National Heritage Board, 3D-model guide; 50 to 60 in all is common practice, no source",
    ),
  },
  rising: ["fewest", "comfortable"],
  judge(facts, limits) {
    const count = new Set(facts.photos.map((photo) => photo.contentHash)).size;
    if (count >= limits.comfortable.value) return { findings: [], skipped: [] };
    const few = count < limits.fewest.value;
    const against = few ? limits.fewest : limits.comfortable;
    const photos = count === 1 ? "1 photo" : `${count} different photos`;
    return {
      findings: [
        {
          about: "set",
          severity: few ? "reshoot" : "note",
          ...(few && { whatItIs: "first" as const }),
          photos: [],
          measured: measure(count, "photos"),
          limit: against,
          message: few
            ? `${photos} cannot show a subject from all sides.`
            : `${photos} are enough for one ring, few for a whole subject.`,
          advice: few
            ? `Walk round the subject with a photo every 10 to 15 degrees, at two or three heights. ${limits.fewest.value} photos are the least; 50 to 60 do most props well.`
            : "If the set still stands, add a ring at another height: 50 to 60 photos do most props well.",
          ...(few ? { toAdd: limits.fewest.value - count } : {}),
        },
      ],
      skipped: [],
    };
  },
});
