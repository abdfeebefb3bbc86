import { addedBlur } from "../measure/photo/blur-model.js";
import { median } from "../measure/statistics.js";
import type { Facts, PhotoFacts, SubjectMeasures } from "../types/facts.js";
import { type LimitTable, limit } from "./define.js";
import { againstAround, FEWEST_FOR_MEDIAN } from "./local.js";

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

/**
 * The photos' subjects for a check that accuses single photos of their framing: none at all where under half of them are
 * known, since then those few are as likely wrong themselves.
 */
export function framedSubjects(facts: Facts, limits: SubjectLimits): (SubjectMeasures | undefined)[] {
  const subjects = facts.photos.map((photo) => knownSubject(photo, limits));
  const known = subjects.filter((subject) => subject !== undefined).length;
  return 2 * known < subjects.length ? subjects.map(() => undefined) : subjects;
}

/** Blur of one surface over the same surface in other photos. */
export interface Blur {
  /** Sigma of the Gaussian that takes as much fine detail, px at 1920. */
  readonly px: number;
  /** Fine detail lost, stops of energy: the larger estimate. */
  readonly dropStops: number;
}

/** Mean of the blurs that explain some drops of fine detail; undefined without any. */
export function blurOf(drops: readonly number[], usualRatio: number): Blur | undefined {
  if (drops.length === 0) return undefined;
  const px = drops.reduce((sum, drop) => sum + addedBlur(drop, usualRatio), 0) / drops.length;
  return { px, dropStops: Math.max(...drops) };
}

/**
 * The blur that the subject alone has in each photo: by its variance of the Laplacian against the set's middle, and by
 * its detail on the surface shared with other photos. Undefined where the subject is not known, or too plain to tell.
 */
export function subjectBlurs(
  facts: Facts,
  limits: SubjectLimits & LimitTable<"texture">,
): (Blur | undefined)[] {
  const known = facts.photos.map((photo) => {
    const subject = knownSubject(photo, limits);
    return subject === undefined || subject.bandRatio === undefined ? undefined : subject;
  });
  const textures = known.flatMap((subject) => subject?.textureRatio?.value ?? []);
  const ratios = known.flatMap((subject) => subject?.bandRatio?.value ?? []);
  const variances = known.flatMap((subject) => subject?.laplacianVariance?.value ?? []);
  const few = Math.min(ratios.length, variances.length) < FEWEST_FOR_MEDIAN;
  if (few || median(textures) < limits.texture.value) return facts.photos.map(() => undefined);
  const usualRatio = median(ratios);
  const usualVariance = median(variances);
  const details = againstAround(
    facts,
    known.map((subject) => subject?.detailOffsetStops?.value),
  );
  return known.map((subject, i) => {
    const variance = subject?.laplacianVariance?.value;
    const detail = details[i];
    return blurOf(
      [
        ...(variance && usualVariance ? [Math.log2(usualVariance / variance)] : []),
        ...(detail === undefined ? [] : [-detail]),
      ],
      usualRatio,
    );
  });
}
