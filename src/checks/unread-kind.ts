import { defineCheck } from "./define.js";

const WAYS_OUT = {
  heic: 'set the phone to save JPEG ("most compatible" or the like), or export JPEG copies and check those',
  raw: "save JPEG beside raw, or export JPEG copies and check those",
} as const;

export const unreadKind = defineCheck({
  id: "unread-kind",
  title: "photos of a kind that is not read",
  measures: "How many photos are of a kind that this version does not decode (HEIC, raw).",
  why: "A photo that was not looked at may be faulty, so a set with such photos never passes.",
  advice: "Set the phone to save JPEG, or export JPEG copies, and check those.",
  limits: {},
  judge(facts) {
    const kinds = ["heic", "raw"] as const;
    return {
      findings: kinds.flatMap((kind) => {
        const files = facts.unsupported.filter((file) => file.kind === kind).map(({ file }) => file);
        if (files.length === 0) return [];
        const name = kind === "heic" ? "HEIC" : "raw";
        return [
          {
            about: "set" as const,
            severity: "reshoot" as const,
            photos: files,
            measured: { value: files.length, unit: "photos" as const },
            message:
              files.length === 1
                ? `${files[0]} is a ${name} photo, a kind that is not read here, so nothing is known of it.`
                : `These are ${name} photos, a kind that is not read here, so nothing is known of them.`,
            advice: `Take nothing again yet: ${WAYS_OUT[kind]}.`,
          },
        ];
      }),
      skipped: [],
    };
  },
});
