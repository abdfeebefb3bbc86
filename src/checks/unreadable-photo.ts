import { defineCheck } from "./define.js";

const advice = "Copy the file from the phone again; if that fails, take the photo again.";

export const unreadablePhoto = defineCheck({
  id: "unreadable-photo",
  title: "files that cannot be read",
  serves: "whole-folder",
  measures: "Whether each photo file opens and decodes to its last pixel.",
  why: "A file that breaks off or is damaged is a missing view, and the upload may be refused for it.",
  advice,
  limits: {},
  judge(facts) {
    return {
      findings: facts.unreadable.map(({ file, reason, wayOut }) => ({
        about: "photo",
        severity: "reshoot",
        alwaysReshoot: true,
        photos: [file],
        message: `${file} cannot be read: ${reason}.`,
        advice: wayOut === undefined ? advice : `${wayOut.slice(0, 1).toUpperCase()}${wayOut.slice(1)}.`,
      })),
      skipped: [],
    };
  },
});
