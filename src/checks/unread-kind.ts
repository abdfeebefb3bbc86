import { defineCheck } from "./define.js";

export const unreadKind = defineCheck({
  id: "unread-kind",
  title: "raw photos without a preview",
  serves: "whole-folder",
  measures: "How many raw files hold no JPEG inside: raw data themselves are not developed.",
  why: "A photo that was not looked at may be faulty, so a set with such photos never passes.",
  advice: "Save JPEG beside raw, or export JPEG copies, and check those.",
  limits: {},
  judge({ unsupported }) {
    if (unsupported.length === 0) return { findings: [], skipped: [] };
    const files = unsupported.map(({ file }) => file);
    return {
      findings: [
        {
          about: "set",
          severity: "reshoot",
          photos: files,
          measured: { value: files.length, unit: "photos" },
          message:
            files.length === 1
              ? `${files[0]} is a raw photo without a preview inside, so nothing is known of it.`
              : "These are raw photos without a preview inside, so nothing is known of them.",
          advice: "Take nothing again yet: save JPEG beside raw, or export JPEG copies and check those.",
        },
      ],
      skipped: [],
    };
  },
});
