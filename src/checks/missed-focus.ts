import { edgeBlurs } from "../measure/set/edge-blur.js";
import { comparableGroups, FEWEST_FOR_SET } from "../measure/set/photos-around.js";
import { median } from "../measure/statistics.js";
import { ratioBlurs, subjectBlurs } from "../measure/subject/blur.js";
import type { Facts, SubjectMeasures } from "../types/facts.js";
import { type Draft, defineCheck, type LimitTable, limit, measure, skippedFor } from "./define.js";
import { edgeLimits, edgesBlurred } from "./edges.js";
import { knownSubject, knownSubjects, plainTexture, subjectLimits } from "./subject.js";

const limits = {
  blur: limit(
    0.87,
    "px at 1920",
    "as for soft photos: the softest subject of a good photo has 0.72, one 2 px and more out of focus 0.96 at the least: docs/evaluation-subject.md",
  ),
  background: limit(
    0.5,
    "ratio",
    "blur of the background over that of the subject: a photo out of focus throughout has about 1, one focused on the background under 0.4 mostly: docs/evaluation-subject.md; our choice between",
  ),
  wholeSet: limit(
    0.08,
    "times",
    "fine over mid detail of the subject as the set's middle value: 2.3 px out of focus leave 0.06, good sets have 0.2 and more: docs/evaluation-subject.md",
  ),
  sharper: limit(
    3,
    "times",
    "and what is around it has this many times as much: in good sets the two are within a factor of 2; our choice",
  ),
  clearly: limit(
    2,
    "times",
    "fine over mid detail of what is around it over that of the subject: in good sets the two are within a factor of 2, so that a background which is blurred as well is not called sharp: docs/evaluation-subject.md",
  ),
  texture: plainTexture,
  ...edgeLimits,
  ...subjectLimits,
};

type Own = LimitTable<keyof typeof limits>;

export const missedFocus = defineCheck({
  id: "missed-focus",
  title: "focus beside the subject",
  serves: "sharp-photos",
  measures:
    "How much blur explains the fine detail that the subject has lost against the photos around it that see the same surface; and whether the sharper parts of what is around it have lost as much of their fine over mid detail.",
  why: "The whole frame looks sharp because the background is, but the subject's texture is gone, and nothing brings it back.",
  advice: "Tap on the subject to focus, not on what is behind it, and lock the focus.",
  needs: ["other photos"],
  limits,
  judge(facts, limits) {
    const throughout = missedThroughout(facts, limits);
    if (throughout !== undefined) return { findings: [throughout], skipped: [] };
    const outcomes = comparableGroups(facts).map((group) => missedIn(group, limits));
    const unknown = outcomes.flatMap(({ unknown }) => unknown);
    return {
      findings: outcomes.flatMap(({ missed }) =>
        missed.map(({ file, px }) => ({
          about: "photo" as const,
          severity: "reshoot" as const,
          photos: [file],
          measured: measure(px, "px at 1920"),
          limit: limits.blur,
          insteadOf: "soft-photo",
          message: `${file} is focused beside the subject: what is around it is sharp, the subject is not.`,
          advice: "Take it again: tap on the subject to focus, and lock the focus there.",
        })),
      ),
      skipped: skippedFor(unknown, "not known which pixels are the subject's, or too plain to tell"),
    };
  },
});

/** Where every photo is focused beside the subject, none stands out against the others: then the background tells. */
function missedThroughout(facts: Facts, limits: Own): Draft | undefined {
  const known = facts.photos.flatMap((photo) => {
    const { bandRatio, backgroundBandRatio } = knownSubject(photo, limits) ?? {};
    return bandRatio === undefined || backgroundBandRatio === undefined
      ? []
      : [{ own: bandRatio.value, around: backgroundBandRatio.value }];
  });
  if (known.length < FEWEST_FOR_SET) return undefined;
  const own = median(known.map((ratios) => ratios.own));
  const around = median(known.map((ratios) => ratios.around));
  if (own >= limits.wholeSet.value || around < limits.sharper.value * own) return undefined;
  return {
    about: "set",
    severity: "reshoot",
    anew: true,
    photos: [],
    measured: measure(own, "times"),
    limit: limits.wholeSet,
    message: "The photos are focused beside the subject: what is around it is sharp, the subject is not.",
    advice:
      "Tap on the subject to focus, lock the focus there, look at one photo at full size, and take the set again.",
  };
}

function missedIn(facts: Facts, limits: Own): { missed: { file: string; px: number }[]; unknown: string[] } {
  const known = knownSubjects(facts, limits);
  const subject = subjectBlurs(facts, known, limits.texture.value);
  const own = ratioBlurs(
    facts,
    known.map((measures) => measures?.bandRatio?.value),
  );
  const around = ratioBlurs(
    facts,
    known.map((measures) => measures?.backgroundBandRatio?.value),
  );
  const edges = edgeBlurs(facts);
  const missed: { file: string; px: number }[] = [];
  const unknown: string[] = [];
  for (const [i, { file }] of facts.photos.entries()) {
    const px = subject[i]?.px;
    const [on, off] = [own[i], around[i]];
    if (px === undefined) unknown.push(file);
    else if (px < limits.blur.value || on === undefined || off === undefined) continue;
    // Where even the frame's sharpest edges are wide nothing in it is sharp: soft-photo says how that came.
    else if (
      off < limits.background.value * on &&
      !edgesBlurred(edges[i], limits) &&
      backgroundSharp(known[i], limits)
    )
      missed.push({ file, px });
  }
  return { missed, unknown };
}

/** Whether what is around the subject is shown to be sharper than the subject. */
function backgroundSharp(subject: SubjectMeasures | undefined, { clearly }: Own): boolean {
  const own = subject?.bandRatio?.value;
  const around = subject?.backgroundBandRatio?.value;
  return own !== undefined && around !== undefined && around >= clearly.value * own;
}
