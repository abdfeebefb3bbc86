import type { PhotoFacts } from "../../types/facts.js";
import type { Finding } from "../../types/judgement.js";
import type { Report } from "../../types/report.js";
import type { Measure } from "../../types/units.js";
import { captureOrder } from "../photo-list.js";
import { measuredAgainst, plainNumber, withUnit } from "../wording.js";
import { comparisonsOf, cutsOf, nearestGood } from "./comparisons.js";
import type { Cut, Pictures } from "./pictures.js";
import type { LayerName, Said, ViewedPhoto } from "./viewed-photo.js";
import { DEEDS, MARKS, placeWords, reasonsOf } from "./words.js";

/** One a photo, in capture order. */
export function viewedPhotos(report: Report, pictures: Pictures): readonly ViewedPhoto[] {
  const { facts, judgement } = report;
  const reasons = reasonsOf(report);
  const overlaps = new Map(facts.pairs.map(({ a, b, overlapRatio }) => [`${a}\n${b}`, overlapRatio]));
  const compared = comparedOf(report, pictures);
  const places = captureOrder(facts.photos);
  const edge = judgement.limits["soft-photo"]?.edge?.value;
  return facts.photos.map((photo, place) => {
    const { file, widthPx, heightPx, tiles, edgeWidthsPx } = photo;
    const verdict = judgement.photoVerdicts.get(file) ?? "pass";
    const next = facts.photos[place + 1]?.file;
    const own = pictures.get(file);
    const pieces = compared.get(file);
    const nearest = verdict === "pass" ? undefined : nearestGood(report, file);
    const notes = judgement.findings.filter(
      ({ severity, photos, about }) => severity === "note" && about === "photo" && photos.includes(file),
    );
    return {
      file,
      mark: MARKS[verdict],
      deed: DEEDS[verdict],
      widthPx,
      heightPx,
      shown: own !== undefined,
      levelled: own?.levelled !== undefined,
      said: [...(reasons.get(file) ?? []), ...notes].map(said),
      measured: measuredOf(report, photo, next === undefined ? undefined : overlaps.get(`${file}\n${next}`)),
      ...(edgeWidthsPx &&
        edge !== undefined && {
          edges: edgeWidthsPx.map((width) => (width === null ? null : hundredths(width / edge))),
        }),
      tiles: {
        columns: tiles.columns,
        rows: tiles.rows,
        burnt: tiles.clippedAnyRatio.map((ratio) => Math.round(100 * ratio)),
        fine: fineness(tiles.bandRatio),
      },
      ...(photo.subject?.outline && { outline: photo.subject.outline }),
      layers: layersFor(reasons.get(file) ?? []),
      ...(pieces && { compared: pieces }),
      ...(nearest &&
        pictures.has(nearest.file) && {
          nearest: {
            place: places.get(nearest.file) ?? 0,
            words: `${nearest.file}, the nearest good photo, ${plainNumber(nearest.awayDeg, 0)} degrees away`,
          },
        }),
    };
  });
}

/** What shows best what is wrong. */
const LAYER_OF: Readonly<Record<string, LayerName>> = {
  "blown-photo": "burnt",
  "cut-subject": "outline",
  "small-subject": "outline",
  "missed-focus": "soft",
};

function layersFor(findings: readonly Finding[]): LayerName[] {
  return findings.flatMap(({ check }) => LAYER_OF[check] ?? []);
}

/** The pieces to lay side by side, by the photo that is not good. */
function comparedOf(report: Report, pictures: Pictures): ReadonlyMap<string, ViewedPhoto["compared"]> {
  const comparisons = comparisonsOf(report);
  const cuts = cutsOf(comparisons);
  const places = captureOrder(report.facts.photos);
  const idOf = (file: string, cut: Cut) => `cut-${places.get(file)}-${cuts.get(file)!.indexOf(cut)}`;
  return new Map(
    comparisons
      .filter(({ file, good }) => pictures.has(file) && pictures.has(good))
      .map(({ file, good, ownCut, goodCut }) => [
        file,
        { own: idOf(file, ownCut), good: idOf(good, goodCut), goodFile: good },
      ]),
  );
}

function said({ message, measured, limit, advice, severity }: Finding): Said {
  return {
    message,
    advice,
    note: severity === "note",
    ...(measured && { figures: measuredAgainst(measured, limit) }),
  };
}

function fineness(ratios: readonly (number | null)[]): (number | null)[] {
  const most = Math.max(...ratios.map((ratio) => ratio ?? 0));
  return ratios.map((ratio) => (ratio === null || most <= 0 ? null : Math.round((100 * ratio) / most)));
}

function hundredths(value: number): number {
  return Math.round(100 * value) / 100;
}

const NOT_MEASURED = "not measured";

function measuredOf(
  { judgement }: Report,
  { file, measures, subject, edgeWidthsPx, exif, widthPx, heightPx }: PhotoFacts,
  overlap: number | undefined,
): [string, string][] {
  const widths = (edgeWidthsPx ?? []).filter((width) => width !== null);
  const of = subject?.measures;
  return [
    ["Taken from", placeWords(judgement.around.placed, file) ?? "not known"],
    [
      "Sharpest edges, where they are widest",
      widths.length === 0 ? NOT_MEASURED : `${plainNumber(Math.max(...widths))} px of 1920`,
    ],
    ["Fine detail on the subject against the photos around", signed(of?.detailOffsetStops)],
    ["Brightness against the set, on the same surface", signed(measures.exposureOffsetStops)],
    [
      "Red and blue against the set",
      `${signed(measures.redOffsetStops)} and ${signed(measures.blueOffsetStops)}`,
    ],
    ["Burnt out, of the subject", value(of?.clippedRatio)],
    ["Burnt out in some colour, of the picture", value(measures.clippedAnyRatio)],
    ["Sunk to black, of the picture", value(measures.blockedRatio)],
    ["Covered by the subject", value(of?.areaRatio)],
    ["Of the subject's outline beyond the frame", value(of?.cutRatio)],
    [
      "Shown again by the next photo",
      overlap === undefined ? NOT_MEASURED : withUnit({ value: overlap, unit: "ratio" }),
    ],
    [
      "Photos that show the same surface",
      `${measures.linkedPhotos.value} of ${measures.comparedPhotos.value} compared`,
    ],
    ["Size", `${widthPx} x ${heightPx} px`],
    ["Exposure", exposure(exif)],
  ];
}

function value(measure: Measure | undefined): string {
  return measure === undefined ? NOT_MEASURED : withUnit(measure);
}

function signed(measure: Measure | undefined): string {
  if (measure === undefined) return NOT_MEASURED;
  return `${measure.value > 0 ? "+" : ""}${withUnit(measure)}`;
}

function exposure({ exposureTimeS, fNumber, iso }: PhotoFacts["exif"]): string {
  const parts = [
    exposureTimeS !== undefined &&
      (exposureTimeS < 0.4 ? `1/${(1 / exposureTimeS).toFixed(0)} s` : `${plainNumber(exposureTimeS)} s`),
    fNumber !== undefined && `f/${plainNumber(fNumber)}`,
    iso !== undefined && `ISO ${iso.toFixed(0)}`,
  ].filter((part) => part !== false);
  return parts.length === 0 ? "not stored" : parts.join(", ");
}
