import { FEWEST_FOR_SET } from "../measure/set/photos-around.js";
import { median } from "../measure/statistics.js";
import type { Limit } from "../types/units.js";
import { type Draft, defineCheck, limit, measure, valued } from "./define.js";
import { framedSubjects, subjectLimits } from "./subject.js";

export const cutSubject = defineCheck({
  id: "cut-subject",
  title: "the subject cut by the frame's edge",
  serves: "subject-in-frame",
  measures:
    "Share of the subject's outline that lies beyond the frame's edge, by the shape that all photos together show.",
  why: "What is cut off is seen by one photo less, and the edge of a thing is where the model is frayed first.",
  advice: "Step back or aim again, and leave a little room around the subject.",
  needs: ["other photos"],
  limits: {
    outside: limit(
      0.03,
      "ratio",
      "under all but one of 24 cuts of 5 to 12 % of the outline (that one, of the thin neck of a lamp, 0.025), over good photos (0.02 at the most, framed to the edge): docs/evaluation-subject.md",
    ),
    nearlyAll: limit(
      0.9,
      "ratio",
      "the photos left then show no side of the subject whole in three photos, which is what each part has to be seen in; our choice",
    ),
    deep: limit(
      0.1,
      "ratio",
      "where nearly all photos cut more, the subject then has a side that hardly any photo shows; of four real captures 70 of 100 photos cut nothing, a toad cut at the top throughout 0.24 and more: docs/evaluation-gate.md; our choice between",
    ),
    shareOnPurpose: limit(
      0.25,
      "ratio",
      "more than a quarter of a set cut is taken for close-ups made on purpose; our choice",
    ),
    ...subjectLimits,
  },
  judge(facts, limits) {
    const outside = framedSubjects(facts, limits).map((subject) => subject?.cutRatio?.value);
    const { known, skipped } = valued(facts.photos, outside, "not known which pixels are the subject's");
    const cut = known.filter(({ value }) => value > limits.outside.value);
    const deeply = known.filter(({ value }) => value > limits.deep.value);
    if (deeply.length >= limits.nearlyAll.value * known.length && known.length >= FEWEST_FOR_SET)
      return { findings: [throughout(deeply, known.length, limits.deep)], skipped };
    if (cut.length > limits.shareOnPurpose.value * known.length) {
      return {
        findings: [
          {
            about: "set" as const,
            severity: "note" as const,
            photos: cut.map(({ file }) => file),
            measured: measure(cut.length / known.length, "ratio"),
            limit: limits.shareOnPurpose,
            message: `The frame's edge cuts the subject in ${cut.length} of the ${known.length} photos in which its outline is known, those to be left out included.`,
            advice:
              "Close-ups are welcome beside photos that show all of it: make sure that there is a full round from further back.",
          },
        ],
        skipped,
      };
    }
    if (cut.length === 0) return { findings: [], skipped };
    const most = Math.max(...cut.map(({ value }) => value));
    const [first] = cut;
    const which = cut.length === 1 ? `${first.file} does` : "These photos do";
    return {
      findings: [
        {
          about: "photo" as const,
          // Other photos show what one cuts off: worth knowing, no reason to take it again.
          severity: "note" as const,
          photos: cut.map(({ file }) => file),
          measured: measure(most, "ratio"),
          limit: limits.outside,
          message: `${which} not show all of the subject: ${cut.length === 1 ? "about" : "up to"} ${Math.round(100 * most)} % of it lies beyond the frame's edge.`,
          advice:
            "See that other photos show this side whole; if not, take it again from a step further back.",
        },
      ],
      skipped,
    };
  },
});

function throughout(cut: readonly { readonly value: number }[], of: number, bound: Limit): Draft {
  const middle = median(cut.map(({ value }) => value));
  return {
    about: "set",
    severity: "reshoot",
    whatItIs: "alone",
    anew: true,
    photos: [],
    measured: measure(middle, "ratio"),
    limit: bound,
    message: `The frame's edge cuts the subject in nearly every photo: ${cut.length} of ${of} leave out a good part of it, mostly about ${Math.round(100 * middle)} %.`,
    advice: "Take the set again from further back, with a little room around all of the subject.",
  };
}
