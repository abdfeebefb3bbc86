import type { LeftAlone } from "../types/folder.js";
import { type Draft, defineCheck, measure } from "./define.js";

export const photosInside = defineCheck({
  id: "photos-inside",
  title: "photos in folders inside",
  serves: "whole-folder",
  measures:
    "How many files named as photos lie in folders inside this one, when those were not looked into; and which folders could not be.",
  why: "A set may have been copied in parts, one folder a day or a card: what lies deeper was not judged.",
  advice: "Add --recursive to check them as part of this set, or check each folder by itself.",
  limits: {},
  judge({ leftAlone }) {
    if (leftAlone === undefined) return { findings: [], skipped: [] };
    return { findings: [...closed(leftAlone), ...notEntered(leftAlone)], skipped: [] };
  },
});

function notEntered({ photosInside: photos, foldersInside: folders }: LeftAlone): Draft[] {
  if (photos === 0) return [];
  const where = folders === 1 ? "a folder" : `${folders} folders`;
  return [
    {
      about: "set",
      severity: "note",
      photos: [],
      measured: measure(photos, "photos"),
      message: `${photos === 1 ? "1 photo lies" : `${photos} photos lie`} in ${where} inside this one and ${photos === 1 ? "was" : "were"} not looked at.`,
      advice: "Add --recursive to check them as part of this set, or check each folder by itself.",
    },
  ];
}

/** Asked for and not looked into: there may be faulty photos in it. */
function closed({ closedFolders }: LeftAlone): Draft[] {
  return closedFolders.map((folder) => ({
    about: "set",
    severity: "reshoot",
    photos: [],
    message: `The folder ${folder} could not be looked into, so nothing is known of what is in it.`,
    advice:
      "Take nothing again yet: change its permissions, or copy it to a place of your own, and run again.",
  }));
}
