import { defineCheck } from "./define.js";

export const storedLocation = defineCheck({
  id: "stored-location",
  title: "photos that say where they were taken",
  serves: "whole-folder",
  measures: "Whether a photo stores coordinates. They are never read out, kept or printed.",
  why: "An upload may publish them: the place of a store room, a home, or a find. Do not count on the service to take them out.",
  advice: "Switch location off in the camera, or export copies without location before the upload.",
  limits: {},
  judge(facts) {
    const photos = facts.photos.filter((photo) => photo.exif.hasLocation).map(({ file }) => file);
    if (photos.length === 0) return { findings: [], skipped: [] };
    return {
      findings: [
        {
          about: "photo",
          severity: "note",
          photos,
          measured: { value: photos.length, unit: "photos" },
          message:
            photos.length === 1
              ? `${photos[0]} says where it was taken.`
              : "These photos say where they were taken.",
          advice: "If the place is private, export copies without location before the upload.",
        },
      ],
      skipped: [],
    };
  },
});
