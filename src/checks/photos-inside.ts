import { defineCheck, measure } from "./define.js";

export const photosInside = defineCheck({
  id: "photos-inside",
  title: "photos in folders inside",
  measures: "How many files named as photos lie in folders inside this one, when those were not looked into.",
  why: "A set may have been copied in parts, one folder a day or a card: what lies deeper was not judged.",
  advice: "Add --recursive to check them as part of this set, or check each folder by itself.",
  limits: {},
  judge({ leftAlone }) {
    const { photosInside: photos, foldersInside: folders } = leftAlone ?? {
      photosInside: 0,
      foldersInside: 0,
    };
    if (photos === 0) return { findings: [], skipped: [] };
    const where = folders === 1 ? "a folder" : `${folders} folders`;
    return {
      findings: [
        {
          about: "set",
          severity: "note",
          photos: [],
          measured: measure(photos, "photos"),
          message: `${photos === 1 ? "1 photo lies" : `${photos} photos lie`} in ${where} inside this one and ${photos === 1 ? "was" : "were"} not looked at.`,
          advice: "Add --recursive to check them as part of this set, or check each folder by itself.",
        },
      ],
      skipped: [],
    };
  },
});
