import { defineCheck, limit, measure } from "./define.js";

export const copiedPhotos = defineCheck({
  id: "copied-photos",
  title: "copies of the same photos",
  serves: "enough-photos",
  measures: "How many different files there are, byte for byte, among those that were read.",
  why: "A copy shows nothing that its original does not show: it adds no view.",
  advice: "Copy every photo from the phone once.",
  limits: {
    different: limit(
      0.5,
      "ratio",
      "fewer different files than copies: the folder is not what the camera took; our choice",
    ),
  },
  judge({ photos }, limits) {
    const originals = new Set(photos.map(({ contentHash }) => contentHash)).size;
    const share = originals / photos.length;
    if (photos.length < 2 || (originals > 1 && share >= limits.different.value))
      return { findings: [], skipped: [] };
    const of = originals === 1 ? "one photo" : `${originals} photos`;
    return {
      findings: [
        {
          about: "set",
          severity: "reshoot",
          whatItIs: "alone",
          anew: true,
          photos: [],
          measured: measure(share, "ratio"),
          limit: limits.different,
          message: `These are ${photos.length} copies of ${of}.`,
          advice: "Copy all photos of the walk from the phone; where there are no others, take the set.",
        },
      ],
      skipped: [],
    };
  },
});
