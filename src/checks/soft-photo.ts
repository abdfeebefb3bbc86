import type { Facts } from "../types.js";
import { defineCheck, limit, measure } from "./define.js";
import { againstNeighbours, medianOf } from "./local.js";

export const softPhoto = defineCheck({
  id: "soft-photo",
  title: "photos out of focus or shaken",
  measures:
    "Fine detail, and fine over mid detail, on the surface a photo shares with others, each solved to one value a photo and held against the photos around it. Where a photo shares no surface: the whole frame's variance of the Laplacian and its fine over mid detail, against the set's middle values.",
  why: "Nothing repairs a photo that is out of focus or shaken: its points match badly and its texture is lost.",
  advice: "Take it again: tap on the subject to focus, brace the arms or use a stand, wait for the shutter.",
  limits: {
    detail: limit(
      1.6,
      "stops",
      "between good photos (1.35 at the most) and blur of sigma 2 px or shake of 9 px at 1920 (1.9 at the least): docs/evaluation.md",
    ),
    ratio: limit(
      0.6,
      "stops",
      "blurred and shaken photos lose 0.9 at the least, a change of distance or texture next to nothing: docs/evaluation.md",
    ),
    laplacian: limit(
      1,
      "stops",
      "plain and rich sides of one object differ by half naturally, blur takes more: docs/evaluation.md, baseline",
    ),
  },
  judge(facts, limits) {
    const detail = againstNeighbours(facts, "detailOffsetStops");
    const ratio = againstNeighbours(facts, "sharpnessOffsetStops");
    const laplacian = againstMedian(facts, "laplacianVariance");
    const wholeRatio = againstMedian(facts, "bandRatio");
    const skipped: string[] = [];
    const findings = facts.photos.flatMap(({ file, exif }, i) => {
      // On the shared surface where there is one, else by the whole frame: what it shows then counts too.
      const shared = detail[i] !== undefined && ratio[i] !== undefined;
      const lost = shared ? detail[i] : laplacian[i];
      const lostRatio = shared ? ratio[i] : wholeRatio[i];
      if (lost === undefined || lostRatio === undefined) {
        skipped.push(file);
        return [];
      }
      const against = shared ? limits.detail : limits.laplacian;
      if (-lost < against.value || -lostRatio < limits.ratio.value) return [];
      const slow =
        exif.exposureTimeS !== undefined &&
        exif.focalLength35Mm !== undefined &&
        exif.exposureTimeS * exif.focalLength35Mm > 1;
      return [
        {
          about: "photo" as const,
          severity: "reshoot" as const,
          photos: [file],
          measured: measure(-lost, "stops"),
          limit: against,
          message: `${file} is out of focus or shaken: it holds ${times(-lost)} less fine detail than the photos around it.`,
          advice: slow
            ? "Take it again with more light or from a stand: the shutter was slow for a hand-held photo."
            : "Take it again: tap on the subject to focus, and hold still until the shutter has closed.",
        },
      ];
    });
    return {
      findings,
      skipped:
        skipped.length === 0
          ? []
          : [{ photos: skipped, reason: "too few other photos to compare with, or nothing in it to judge" }],
    };
  },
});

/** log2 of each photo's measure over the set's middle value; undefined where either is not there or 0. */
function againstMedian(facts: Facts, name: "laplacianVariance" | "bandRatio"): (number | undefined)[] {
  const middle = medianOf(facts, name);
  return facts.photos.map(({ measures }) => {
    const value = measures[name]?.value;
    return value && middle ? Math.log2(value / middle) : undefined;
  });
}

function times(stops: number): string {
  const factor = 2 ** stops;
  return factor < 10 ? `${factor.toFixed(1)} times` : `${Math.round(factor)} times`;
}
