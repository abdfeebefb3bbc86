import type { Facts, PhotoFacts, SubjectMeasures } from "../types/facts.js";
import { type LimitTable, limit } from "./define.js";

/** Limits of every check that judges the subject alone: below them the whole frame is judged instead, or nothing. */
export const subjectLimits = {
  confidence: limit(
    0.4,
    "ratio",
    "regions found on rendered sets have 0.6 and more, the middle of the frame, taken where none is found, 0.2: docs/evaluation-subject.md; our choice between",
  ),
} as const;

export type SubjectLimits = LimitTable<keyof typeof subjectLimits>;

/** Contrast of the finest texture under which what is left is noise and shading, by which no sharpness can be told. */
export const plainTexture = limit(
  0.033,
  "ratio",
  "under any photo of a prop with texture (0.034 at the least), over the middle values of sets of white plaster with a texture of 0.6 %, its shading included (0.026 at the most): docs/evaluation-subject.md",
);

/** The subject's measures, where geometry says well enough which pixels are the subject's. */
export function knownSubject(
  { subject }: PhotoFacts,
  { confidence }: SubjectLimits,
): SubjectMeasures | undefined {
  return subject?.source === "geometry" && subject.measures.confidence.value >= confidence.value
    ? subject.measures
    : undefined;
}

/** {@link knownSubject} of every photo. */
export function knownSubjects(facts: Facts, limits: SubjectLimits): (SubjectMeasures | undefined)[] {
  return facts.photos.map((photo) => knownSubject(photo, limits));
}

/**
 * The photos' subjects for a check that accuses single photos of their framing: none at all where under half of them are
 * known, since then those few are as likely wrong themselves.
 */
export function framedSubjects(facts: Facts, limits: SubjectLimits): (SubjectMeasures | undefined)[] {
  const subjects = knownSubjects(facts, limits);
  const known = subjects.filter((subject) => subject !== undefined).length;
  return 2 * known < subjects.length ? subjects.map(() => undefined) : subjects;
}
