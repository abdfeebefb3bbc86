import { type EdgeBlur, edgeBlurs, shakeLengthPx } from "../measure/set/edge-blur.js";
import {
  againstAround,
  againstNeighbours,
  comparableGroups,
  medianOf,
} from "../measure/set/photos-around.js";
import { againstMedian, estimateBlur } from "../measure/subject/blur.js";
import type { Facts } from "../types/facts.js";
import { defineCheck, type LimitTable, limit, measure, type Outcome } from "./define.js";
import { type EdgeLimits, edgeLimits, edgesBlurred, isShaken, wayOf } from "./edges.js";
import { handHeldFactor } from "./exif.js";
import { knownSubjects, plainTexture, type SubjectLimits, subjectLimits } from "./subject.js";

export const softPhoto = defineCheck({
  id: "soft-photo",
  title: "photos out of focus or shaken",
  serves: "sharp-photos",
  measures:
    "How wide the sharpest edges are across each of eight directions, whatever the subject: wide across all, the photo is out of focus; across some, it was moved along them. Besides, how much blur explains the fine detail a photo has lost: on the surface it shares with others, solved to one value a photo and held against the photos around it, and by the variance of the Laplacian against the set's middle value; the mean of the two. Both on the subject alone where it is known which pixels are the subject's and they have texture, else over the whole frame. Previews of raw photos are compared only with previews of the same size. A photo that shares no surface is judged by the whole frame, if its fine over mid detail has dropped as well.",
  why: "Nothing repairs a photo that is out of focus or shaken: its points match badly and its texture is lost.",
  advice: "Take it again: tap on the subject to focus, brace the arms or use a stand, wait for the shutter.",
  needs: ["other photos"],
  inMost: {
    message: (count, of) =>
      `The photos are soft or shaken throughout: ${count} of ${of} are, and too few are left that are sharp.`,
    advice:
      "Take the set again with more light and a shorter shutter time, or with the phone on a stand, and look at one photo at full size first.",
  },
  limits: {
    blur: limit(
      0.87,
      "px at 1920",
      "over the softest of 1,148 good photos (0.83), under blur of sigma 2 px (1.48 at the least) and nearly all photos shaken by 9 px and more (median 1.4, 0.67 at the least): docs/evaluation.md",
    ),
    blurOfPoor: limit(
      0.65,
      "px at 1920",
      "enough where the surface shared with others has lost as much fine detail as the next limit says: shaken photos that the limit above lets pass have 0.67 and more, good ones up to 0.83, but they do not lose as much: docs/evaluation.md",
    ),
    poor: limit(
      1.85,
      "stops",
      "fine detail of the surface shared with others: good photos lose up to 1.68, the shaken ones that the first limit lets pass 1.97 and more: docs/evaluation.md",
    ),
    ratio: limit(
      0.6,
      "stops",
      "blurred and shaken photos lose 0.55 at the least and mostly over 1, photos of another motif may go either way: docs/evaluation.md",
    ),
    variance: limit(
      1,
      "stops",
      "where edges grew, but are not wide yet, the variance of the Laplacian has to have fallen to half that of the photos around too: no fine photo of four real captures did both (of those that grew as far, the one that lost most lost 0.88), and it tells shakes of 5 px in pictures with sharp edges: docs/evaluation-shake.md",
    ),
    blurOfNarrow: limit(
      1.2,
      "px at 1920",
      "where the photo's own edges are known across all directions and sharp: depth of field and a plainer view cost detail as well, and of four real captures photos that are fine or borderline have 1.14 at the most; our choice",
    ),
    spoilt: limit(
      1.75,
      "px at 1920",
      "wider than the edges of any of 63 borderline photos of four real captures that good ones do not cover (1.71); under it the photo is used where nothing better shows the view",
    ),
    linked: limit(
      0.6,
      "ratio",
      "of as many photos as the set's photos usually link to: blur that costs matches spoils the photo however little it is. Of four real captures unusable photos whose edges are under the limit before link to 0.43 and 0.57 of the usual, borderline ones that good photos do not cover to 0.71 and more but for two (0.38, 0.5)",
    ),
    gone: limit(
      2.85,
      "stops",
      "more of the fine detail that others show on the same surface than any borderline photo of four real captures has lost (2.78), 2.91 and more where texture is gone; under it the photo is used where nothing better shows the view",
    ),
    texture: plainTexture,
    ...edgeLimits,
    ...subjectLimits,
  },
  rising: ["edge", "spoilt"],
  judge(facts, limits) {
    const outcomes = comparableGroups(facts).map((group) => judgeGroup(group, limits));
    return {
      findings: outcomes.flatMap(({ findings }) => findings),
      skipped: outcomes.flatMap(({ skipped }) => skipped),
    };
  },
});

type Own = SubjectLimits &
  EdgeLimits &
  LimitTable<
    | "blur"
    | "blurOfPoor"
    | "poor"
    | "blurOfNarrow"
    | "spoilt"
    | "linked"
    | "gone"
    | "ratio"
    | "variance"
    | "texture"
  >;

function judgeGroup(facts: Facts, limits: Own): Outcome {
  const usualRatio = medianOf(facts, "bandRatio");
  const usualLinks = medianOf(facts, "linkedPhotos");
  const blurs = estimateBlur(facts, knownSubjects(facts, limits), limits.texture.value);
  const ratio = againstMedian(facts, "bandRatio");
  const detail = againstNeighbours(facts, "detailOffsetStops");
  const variance = againstAround(
    facts,
    facts.photos.map(
      ({
        measures: {
          laplacianVariance: { value },
        },
      }) => (value > 0 ? Math.log2(value) : undefined),
    ),
  );
  const lit = facts.photos.map(({ measures }) => measures.exposureOffsetStops?.value ?? 0);
  const edges = edgeBlurs(facts);
  const skipped: string[] = [];
  const findings = facts.photos.flatMap(({ file, exif, edgeWidthsPx, measures }, i) => {
    const blur = blurs[i];
    const edge = edges[i];
    const lost = -(detail[i] ?? 0);
    const usable =
      (edge === undefined || edge.widestPx < limits.spoilt.value) &&
      lost < limits.gone.value &&
      (measures.linkedPhotos?.value ?? 0) >= limits.linked.value * (usualLinks ?? 0);
    const slow = (handHeldFactor(exif) ?? 0) > 1;
    const wide = edgesBlurred(edge, limits);
    if (edge !== undefined && (wide || widened(edge, detail[i], atOneLight(variance[i], lit[i]), limits))) {
      return [
        {
          about: "photo" as const,
          severity: "reshoot" as const,
          usable,
          photos: [file],
          measured: measure(wide ? edge.widestPx : edge.grownPx!, "px at 1920"),
          limit: wide ? limits.edge : limits.grown,
          ...(isShaken(edge, limits) ? shaken(file, edge, slow) : outOfFocus(file, edge)),
        },
      ];
    }
    if (blur === undefined || usualRatio === undefined) {
      if (edge === undefined) skipped.push(file);
      return [];
    }
    const narrow = lost < limits.gone.value && edgeWidthsPx?.every((width) => width !== null);
    const crossed = narrow
      ? limits.blurOfNarrow
      : lost >= limits.poor.value && blur.px < limits.blur.value
        ? limits.blurOfPoor
        : limits.blur;
    // Without a shared surface a drop may be another motif: then the band ratio has to have dropped as well.
    if (blur.px < crossed.value || (!blur.onSurface && -(ratio[i] ?? 0) < limits.ratio.value)) return [];
    return [
      {
        about: "photo" as const,
        severity: "reshoot" as const,
        usable,
        photos: [file],
        measured: measure(blur.px, "px at 1920"),
        limit: crossed,
        message: `${file} is out of focus or shaken: it holds ${times(blur.dropStops)} less fine detail than the photos around it.`,
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
        : [
            {
              photos: skipped,
              reason:
                facts.photos[0].rawPreview === undefined
                  ? "too few other photos to compare with, or nothing in it to judge"
                  : "too few other previews of that size to compare with, or nothing in it to judge",
            },
          ],
  };
}

/** Whether edges are wider than in the photos around, and detail is lost as well: either alone may be another view of the subject. */
function widened(
  { grownPx }: EdgeBlur,
  sharedDetail: number | undefined,
  variance: number | undefined,
  limits: Own,
): boolean {
  // A photo that shares nothing may show something plainer.
  if (grownPx === undefined || sharedDetail === undefined || variance === undefined) return false;
  return grownPx >= limits.grown.value && -variance >= limits.variance.value;
}

/** Exponent of code values over linear light in the middle tones. @see IEC 61966-2-1: about 1 / 2.2 */
const CODE_EXPONENT = 1 / 2.2;

/** A change of the Laplacian's variance as it were without the change of exposure, which spreads code values or draws them together. */
function atOneLight(varianceStops: number | undefined, exposureStops: number): number | undefined {
  return varianceStops === undefined ? undefined : varianceStops - 2 * CODE_EXPONENT * exposureStops;
}

function shaken(file: string, edge: EdgeBlur, slow: boolean): { message: string; advice: string } {
  return {
    message: `${file} is shaken: it moved ${wayOf(edge)} by about ${Math.round(shakeLengthPx(edge))} px of 1920 while the shutter was open.`,
    advice: slow
      ? "Take it again with more light or from a stand: the shutter was slow for a hand-held photo."
      : "Take it again: brace the arms or lean on something, and hold still until the shutter has closed.",
  };
}

function outOfFocus(file: string, edge: EdgeBlur): { message: string; advice: string } {
  return {
    message: `${file} is out of focus: its sharpest edges are ${edge.widestPx.toFixed(1)} px of 1920 wide, in all directions.`,
    advice: "Take it again: tap on the subject to focus, and lock the focus there.",
  };
}

function times(stops: number): string {
  const factor = 2 ** stops;
  return factor < 10 ? `${factor.toFixed(1)} times` : `${Math.round(factor)} times`;
}
