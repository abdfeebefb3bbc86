import { defineCheck } from "./define.js";

export const unreadablePhoto = defineCheck({
  id: "unreadable-photo",
  title: "files that cannot be read",
  measures: "Whether each photo file opens and decodes to its last pixel.",
  why: "A file that breaks off or is damaged is a missing view, and the upload may be refused for it.",
  advice: "Copy the file from the phone again; if that fails, take the photo again.",
  limits: {},
  judge(facts) {
    return {
      findings: facts.unreadable.map(({ file, reason }) => ({
        about: "photo",
        severity: "reshoot",
        alwaysReshoot: true,
        photos: [file],
        message: `${file} cannot be read: ${reason}.`,
        advice: "Copy it again from the phone; if that fails, take it again.",
      })),
      skipped: [],
    };
  },
});
