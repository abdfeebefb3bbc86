import type { RequirementId } from "../types/judgement.js";

/** What a set has to be before it passes. Every check serves one requirement; evidence.ts says when one is known to be met. */
export interface Requirement {
  readonly id: RequirementId;
  /** A few words, lower case. */
  readonly title: string;
  /** What has to be so, one sentence. */
  readonly sentence: string;
  /** Why a model needs it, one sentence. */
  readonly why: string;
  /** When it is not known whether it is met, one sentence. */
  readonly unknown: string;
}

/** Every requirement, in the order they are reported. */
export const requirements: readonly Requirement[] = [
  {
    id: "whole-folder",
    title: "all of the folder was judged",
    sentence: "Every photo in the folder could be read, and the upload takes as many.",
    why: "A photo that nobody looked at may be the one that is missing or spoilt.",
    unknown: "Never: a file is read, or it is named.",
  },
  {
    id: "enough-photos",
    title: "enough photos",
    sentence: "There are enough different photos to show a subject from all sides.",
    why: "Each part of the subject has to be seen in three photos or more.",
    unknown: "Never: photos are counted.",
  },
  {
    id: "one-whole",
    title: "one connected whole",
    sentence:
      "All photos show one and the same thing, and each shares enough surface with others to be joined to them.",
    why: "Photos that share nothing come out as separate pieces of model, or as none.",
    unknown: "Where too many photos could not be compared with all others.",
  },
  {
    id: "around-subject",
    title: "taken around one subject",
    sentence:
      "The photos look at one subject from around it, as far round as is wanted and in steps that match; or it was turned before a camera at rest.",
    why: "What no photo faces is missing from the model, and steps that are too wide tear it.",
    unknown: "Where it could not be worked out where the camera stood.",
  },
  {
    id: "subject-in-frame",
    title: "the subject in the frame",
    sentence: "Nearly all photos show all or most of the subject, and it is large enough in them.",
    why: "Pixels spent on the room are lost to the subject, and what is cut off in every photo is never seen.",
    unknown: "Where it could not be told which pixels are the subject's.",
  },
  {
    id: "sharp-set",
    title: "sharp as a whole",
    sentence: "The set as a whole is sharp, told without comparing its photos with one another.",
    why: "Where every photo is soft or shaken none stands out, and the model comes out as a lump.",
    unknown: "Where nothing in the photos has edges to tell by.",
  },
  {
    id: "sharp-photos",
    title: "each photo sharp",
    sentence: "No photo is softer or more shaken than the others of the same surface.",
    why: "The points of a soft photo match badly, and its texture is lost.",
    unknown: "Where too few photos share a surface to compare them on.",
  },
  {
    id: "clean-tones",
    title: "clean tones",
    sentence: "The photos are not burnt out, black, drowned in noise, too small, or crushed by compression.",
    why: "Where a picture holds nothing there is nothing to match, and no editor brings it back.",
    unknown: "Never: every photo that was read has pixels.",
  },
  {
    id: "even-exposure",
    title: "comparable exposure and light",
    sentence: "Brightness, colour and light of the same surface are comparable from photo to photo.",
    why: "Steps show as seams in the model's colour, and cost matches.",
    unknown: "Where too few photos share a surface to compare them on.",
  },
];
