import { addedBlur } from "../measure/photo/blur-model.js";
import { median } from "../measure/statistics.js";
import type { Facts, PhotoFacts, SubjectMeasures } from "../types.js";
import { againstAround } from "./local.js";

/**
 * Confidence from which the subject's own measures are judged in place of the whole frame's. Regions found by geometry
 * have 0.52 and more on rendered sets (docs/evaluation-subject.md); the middle of the frame has 0.2.
 */
export const KNOWN_CONFIDENCE = 0.4;

/** Texture contrast under which what is left is noise and shading: sharpness cannot be told by it. */
export const PLAIN_TEXTURE = 0.033;

/** The subject's measures, where geometry says well enough which pixels are the subject's. */
export function knownSubject({ subject }: PhotoFacts): SubjectMeasures | undefined {
  return subject?.source === "geometry" && subject.measures.confidence.value >= KNOWN_CONFIDENCE
    ? subject.measures
    : undefined;
}

/**
 * The photos' subjects for a check that accuses single photos of their framing: none at all where under half of them are
 * known, since then those few are as likely wrong themselves.
 */
export function framedSubjects(facts: Facts): (SubjectMeasures | undefined)[] {
  const subjects = facts.photos.map(knownSubject);
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
export function subjectBlurs(facts: Facts): (Blur | undefined)[] {
  const known = facts.photos.map((photo) => {
    const subject = knownSubject(photo);
    return subject === undefined || subject.bandRatio === undefined ? undefined : subject;
  });
  const textures = known.flatMap((subject) => subject?.textureRatio?.value ?? []);
  const ratios = known.flatMap((subject) => subject?.bandRatio?.value ?? []);
  const variances = known.flatMap((subject) => subject?.laplacianVariance?.value ?? []);
  if (ratios.length < FEWEST || variances.length < FEWEST || median(textures) < PLAIN_TEXTURE)
    return facts.photos.map(() => undefined);
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

/** Fewest photos with a value that make a middle worth holding a photo against. */
const FEWEST = 3;
