import { defineCheck, measure } from "./define.js";

export const tooManyPhotos = defineCheck({
  id: "too-many-photos",
  title: "more photos than the upload takes",
  serves: "whole-folder",
  measures: "How many photos there are, against the number given with --at-most.",
  why: "An upload service may refuse what is over its limit, or take the first photos and drop a side of the subject.",
  advice: "Take out photos that are flagged below first, then every other photo of the densest ring.",
  limits: {},
  judge(facts) {
    const { atMostPhotos, photos } = facts;
    if (atMostPhotos === undefined || photos.length <= atMostPhotos) return { findings: [], skipped: [] };
    return {
      findings: [
        {
          about: "set",
          severity: "note",
          photos: [],
          measured: measure(photos.length, "photos"),
          limit: { value: atMostPhotos, unit: "photos", source: "given with --at-most" },
          message: `There are ${photos.length} photos and the upload takes ${atMostPhotos}.`,
          advice: `Take out ${photos.length - atMostPhotos}: flagged ones first, then every other photo where they stand closest.`,
        },
      ],
      skipped: [],
    };
  },
});
