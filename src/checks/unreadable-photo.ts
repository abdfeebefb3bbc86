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
      findings: facts.unreadable.map(({ file, reason }) => {
        const [what, way] = whatAndWayOut(reason);
        return {
          about: "photo",
          severity: "reshoot",
          alwaysReshoot: true,
          photos: [file],
          message: `${file} cannot be read: ${what}.`,
          advice: way,
        };
      }),
      skipped: [],
    };
  },
});

/** A reason says what is wrong and, behind its last colon, mostly a way out: "the file is empty: copy it again". */
function whatAndWayOut(reason: string): [what: string, way: string] {
  const colon = reason.lastIndexOf(": ");
  const [what, way] =
    colon === -1 ? [reason, "copy it again"] : [reason.slice(0, colon), reason.slice(colon + 2)];
  return way === "copy it again"
    ? [what, "Copy it again from the phone; if that fails, take it again."]
    : [what, `${way.slice(0, 1).toUpperCase()}${way.slice(1)}.`];
}
