import { defineCheck } from "./define.js";

export const turnedSubject = defineCheck({
  id: "turned-subject",
  title: "a subject turned in front of a camera at rest",
  serves: "around-subject",
  measures:
    "Whether photos that show the subject from different sides show one and the same background, at rest in the picture.",
  why: "The reconstruction goes by all it sees: a background that stays where it is while the subject turns tells it that the camera never moved.",
  advice: "Walk around the subject, or turn it before a plain background that shows nothing to match.",
  needs: ["other photos"],
  limits: {},
  judge({ around }) {
    if (around.turnedSubject === undefined)
      return {
        findings: [],
        skipped: [{ photos: [], reason: "too few photos to compare different sides of the subject" }],
      };
    if (!around.turnedSubject) return { findings: [], skipped: [] };
    return {
      findings: [
        {
          about: "set",
          severity: "edit",
          photos: [],
          message:
            "The subject was turned in front of a camera at rest: the background stays the same while the subject turns.",
          advice:
            "Cut the background out of all photos before the upload, where the service takes masks; next time hang a plain cloth behind the subject, or walk around it.",
        },
      ],
      skipped: [],
    };
  },
});
