import type { Facts, SubjectMeasures } from "../../types/facts.js";
import { addedBlur, blurOfRatio } from "../photo/blur-model.js";
import { againstAround, againstNeighbours, FEWEST_FOR_MEDIAN, medianOf } from "../set/photos-around.js";
import { median } from "../statistics.js";

/** Blur of one surface over the same surface in other photos. */
export interface Blur {
  /** Sigma of the Gaussian that takes as much fine detail, px at 1920. */
  readonly px: number;
  /** Fine detail lost, stops of energy: the larger estimate. */
  readonly dropStops: number;
}

/** Mean of the blurs that explain some drops of fine detail; undefined without any. */
function blurOf(drops: readonly number[], usualRatio: number): Blur | undefined {
  if (drops.length === 0) return undefined;
  const px = drops.reduce((sum, drop) => sum + addedBlur(drop, usualRatio), 0) / drops.length;
  return { px, dropStops: Math.max(...drops) };
}

/**
 * The blur that the subject alone has in each photo: by its variance of the Laplacian against the set's middle, and by
 * its detail on the surface shared with other photos.
 *
 * @param subjects one a photo of `facts`: the subject's measures where it is known well enough
 * @param plainRatio contrast of the finest texture (`textureRatio`) under which no sharpness can be told
 * @returns one a photo; undefined where the subject is not known, or too plain to tell
 */
export function subjectBlurs(
  facts: Facts,
  subjects: readonly (SubjectMeasures | undefined)[],
  plainRatio: number,
): (Blur | undefined)[] {
  const known = subjects.map((subject) => (subject?.bandRatio === undefined ? undefined : subject));
  const textures = known.flatMap((subject) => subject?.textureRatio?.value ?? []);
  const ratios = known.flatMap((subject) => subject?.bandRatio?.value ?? []);
  const variances = known.flatMap((subject) => subject?.laplacianVariance?.value ?? []);
  const few = Math.min(ratios.length, variances.length) < FEWEST_FOR_MEDIAN;
  if (few || median(textures) < plainRatio) return facts.photos.map(() => undefined);
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

export interface PhotoBlur extends Blur {
  /** Whether the surface shared with other photos, or the subject alone, had a say. */
  readonly onSurface: boolean;
}

/**
 * The blur each photo has over the others, on the subject where that is known: a blurred background is no fault. A crisp
 * set loses much to a small blur and a softer one little, so drops are turned into the blur that explains them before
 * they are held against a limit.
 *
 * @param subjects, plainRatio as for {@link subjectBlurs}
 * @returns one a photo; undefined where there is nothing to compare it with
 */
export function estimateBlur(
  facts: Facts,
  subjects: readonly (SubjectMeasures | undefined)[],
  plainRatio: number,
): (PhotoBlur | undefined)[] {
  const usualRatio = medianOf(facts, "bandRatio");
  const detail = againstNeighbours(facts, "detailOffsetStops");
  const laplacian = againstMedian(facts, "laplacianVariance");
  const subject = subjectBlurs(facts, subjects, plainRatio);
  return facts.photos.map((_, i) => {
    const own = subject[i];
    if (own !== undefined) return { ...own, onSurface: true };
    const whole = laplacian[i];
    if (usualRatio === undefined || whole === undefined) return undefined;
    const drops = [-whole, ...(detail[i] === undefined ? [] : [-detail[i]])];
    const blur = blurOf(drops, usualRatio);
    return blur && { ...blur, onSurface: drops.length === 2 };
  });
}

/** log2 of each photo's measure over the set's middle value; undefined where either is not there or 0. */
export function againstMedian(facts: Facts, name: "laplacianVariance" | "bandRatio"): (number | undefined)[] {
  const middle = medianOf(facts, name);
  return facts.photos.map(({ measures }) => {
    const value = measures[name]?.value;
    return value && middle ? Math.log2(value / middle) : undefined;
  });
}

/**
 * The blur that explains how far each photo's fine over mid detail lies under that of the photos around it.
 *
 * @param ratios fine over mid band energy, > 0, one a photo of `facts`
 * @returns px at 1920, 0 for a photo that is no softer; undefined where the photo or too few around it have a ratio
 */
export function ratioBlurs(facts: Facts, ratios: readonly (number | undefined)[]): (number | undefined)[] {
  const changes = againstAround(facts, ratios);
  return ratios.map((ratio, i) => {
    const change = changes[i];
    if (ratio === undefined || change === undefined) return undefined;
    return Math.sqrt(Math.max(0, blurOfRatio(ratio) ** 2 - blurOfRatio(ratio - change) ** 2));
  });
}
