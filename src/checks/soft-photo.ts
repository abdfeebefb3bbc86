import type { Facts } from "../types.js";
import { defineCheck, limit, measure } from "./define.js";
import { againstNeighbours, medianOf } from "./local.js";

export const softPhoto = defineCheck({
  id: "soft-photo",
  title: "photos out of focus or shaken",
  measures:
    "Fine over mid detail on the surface a photo shares with others, solved to one value a photo and held against the photos around it; and the variance of the Laplacian of the whole frame against the set's middle value.",
  why: "Nothing repairs a photo that is out of focus or shaken: its points match badly and its texture is lost.",
  advice: "Take it again: tap on the subject to focus, brace the arms or use a stand, wait for the shutter.",
  limits: {
    softer: limit(1.2, "stops", "SPREAD:soft"),
    laplacianDrop: limit(1, "stops", "SPREAD:soft"),
    both: limit(0.6, "stops", "SPREAD:soft"),
  },
  judge(facts, limits) {
    const sharpness = againstNeighbours(facts, "sharpnessOffsetStops");
    const laplacian = laplacianStops(facts);
    const findings = facts.photos.flatMap(({ file, exif }, i) => {
      const softer = sharpness[i] === undefined ? undefined : -sharpness[i];
      const drop = laplacian[i] === undefined ? undefined : -laplacian[i];
      const bySurface = softer !== undefined && softer >= limits.softer.value;
      const byFrame =
        drop !== undefined &&
        drop >= limits.laplacianDrop.value &&
        (softer === undefined || softer >= limits.both.value);
      if (!bySurface && !byFrame) return [];
      const value = bySurface ? softer : drop!;
      const against = bySurface ? limits.softer : limits.laplacianDrop;
      const slow =
        exif.exposureTimeS !== undefined &&
        exif.focalLength35Mm !== undefined &&
        exif.exposureTimeS * exif.focalLength35Mm > 1;
      return [
        {
          about: "photo" as const,
          severity: "reshoot" as const,
          photos: [file],
          measured: measure(value, "stops"),
          limit: against,
          message: `${file} is out of focus or shaken: it holds ${times(value)} less fine detail than the photos around it.`,
          advice: slow
            ? "Take it again with more light or from a stand: the shutter was slow for a hand-held photo."
            : "Take it again: tap on the subject to focus, and hold still until the shutter has closed.",
        },
      ];
    });
    const unjudged = facts.photos.filter((_, i) => sharpness[i] === undefined && laplacian[i] === undefined);
    return {
      findings,
      skipped:
        unjudged.length === 0
          ? []
          : [{ photos: unjudged.map(({ file }) => file), reason: "too few other photos to compare with" }],
    };
  },
});

/** log2 of each photo's variance of the Laplacian over the set's middle value. */
function laplacianStops(facts: Facts): (number | undefined)[] {
  const middle = medianOf(facts, "laplacianVariance");
  return facts.photos.map(({ measures: { laplacianVariance } }) =>
    middle === undefined || middle === 0
      ? undefined
      : Math.log2(Math.max(laplacianVariance.value, 1e-3) / middle),
  );
}

function times(stops: number): string {
  const factor = 2 ** stops;
  return factor < 10 ? `${factor.toFixed(1)} times` : `${Math.round(factor)} times`;
}
