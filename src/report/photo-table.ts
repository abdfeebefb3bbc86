import type { PhotoFacts } from "../types/facts.js";
import type { Report } from "../types/report.js";
import type { Measure } from "../types/units.js";
import { displayWidth, padEnd, padStart, shorten, visible } from "./text.js";
import { verdictMarks } from "./wording.js";

/** One line of the table and whether its photo is to be marked, with the word for it. */
export interface TableLine {
  readonly text: string;
  readonly mark: string;
}

interface Column {
  readonly head: string;
  readonly unit: string;
  readonly width: number;
  /** One clause for the legend. */
  readonly legend: string;
  cell(photo: PhotoFacts, nextOverlap: number | undefined): string;
}

const notMeasured = "-";

const essential: readonly Column[] = [
  {
    head: "sharp",
    unit: "stops",
    width: 7,
    legend: "sharpness of the same surface against the rest of the set, minus is softer",
    cell: ({ measures }) => signed(measures.sharpnessOffsetStops),
  },
  {
    head: "light",
    unit: "stops",
    width: 7,
    legend: "brightness of the same surface against the rest of the set, plus is brighter",
    cell: ({ measures }) => signed(measures.exposureOffsetStops),
  },
  {
    head: "white",
    unit: "%",
    width: 7,
    legend: "share of the picture burnt out to full white in some colour",
    cell: ({ measures }) => percent(measures.clippedAnyRatio.value, 1),
  },
  {
    head: "black",
    unit: "%",
    width: 7,
    legend: "share sunk to full black",
    cell: ({ measures }) => percent(measures.blockedRatio.value, 1),
  },
  {
    head: "next",
    unit: "%",
    width: 6,
    legend: "how much of the picture the next photo shows again",
    cell: (_, overlap) => (overlap === undefined ? notMeasured : percent(overlap, 0)),
  },
  {
    head: "links",
    unit: "",
    width: 6,
    legend: "photos that were seen to show some of the same surface",
    cell: ({ measures }) => String(measures.linkedPhotos.value),
  },
];

const roomy: readonly Column[] = [
  {
    head: "grain",
    unit: "levels",
    width: 8,
    legend: "noise in the quietest parts, in grey levels of 255",
    cell: ({ measures }) => measures.noiseSigma?.value.toFixed(1) ?? notMeasured,
  },
  {
    head: "shutter",
    unit: "s",
    width: 9,
    legend: "exposure time, as the camera stored it",
    cell: ({ exif }) => (exif.exposureTimeS === undefined ? notMeasured : shutter(exif.exposureTimeS)),
  },
  {
    head: "ISO",
    unit: "",
    width: 7,
    legend: "sensitivity, as the camera stored it",
    cell: ({ exif }) => (exif.iso === undefined ? notMeasured : exif.iso.toFixed(0)),
  },
];

const markWidth = 6;
const roomyFrom = 100;
const widestName = 40;

/** The table of all photos in capture order, one line each, then the files that gave no picture. */
export function photoTable(report: Report, columns: number): readonly TableLine[] {
  const shown = columnsFor(columns);
  const { photos, unreadable, unsupported } = report.facts;
  const numberWidth = Math.max(3, String(photos.length).length);
  const cells = shown.reduce((sum, { width }) => sum + width, 0);
  const files = [...photos, ...unreadable, ...unsupported].map(({ file }) => visible(file));
  const longest = Math.max(5, ...files.map(displayWidth));
  const nameWidth = Math.min(longest, widestName, columns - markWidth - numberWidth - 1 - cells);

  const row = (mark: string, number: string, name: string, rest: string): TableLine => ({
    text: `${padEnd(mark, markWidth)}${padStart(number, numberWidth)} ${rest === "" ? name : padEnd(name, nameWidth)}${rest}`.trimEnd(),
    mark,
  });
  const head = (pick: (column: Column) => string) =>
    shown.map((column) => padStart(pick(column), column.width)).join("");

  const overlaps = nextOverlaps(report);
  return [
    row(
      "",
      "",
      "",
      head(({ head }) => head),
    ),
    row(
      "",
      "no.",
      "photo",
      head(({ unit }) => unit),
    ),
    ...photos.map((photo, index) =>
      row(
        verdictMarks[report.judgement.photoVerdicts.get(photo.file) ?? "pass"],
        String(index + 1),
        shorten(visible(photo.file), nameWidth),
        shown.map((column) => padStart(column.cell(photo, overlaps[index]), column.width)).join(""),
      ),
    ),
    ...unreadable.map(({ file }) =>
      row(verdictMarks.reshoot, "", shorten(visible(file), nameWidth), "  cannot be read"),
    ),
    ...unsupported.map(({ file }) =>
      row("", "", shorten(visible(file), nameWidth), "  raw, no preview inside"),
    ),
  ].map(({ text, mark }) => ({ text: shorten(text, columns), mark }));
}

/** What the columns mean, one clause each. */
export function tableLegend(columns: number): readonly (readonly [head: string, legend: string])[] {
  return [
    ...columnsFor(columns).map(({ head, legend }) => [head, legend] as const),
    [notMeasured, "not measured"],
  ];
}

function columnsFor(columns: number): readonly Column[] {
  return columns >= roomyFrom ? [...essential, ...roomy] : essential;
}

/** For each photo, the share of its frame that the next one in capture order shows again. */
function nextOverlaps({ facts }: Report): readonly (number | undefined)[] {
  const overlaps = new Map<string, number | undefined>();
  for (const { a, b, overlapRatio } of facts.pairs) overlaps.set(JSON.stringify([a, b]), overlapRatio);
  return facts.photos.map(({ file }, index) =>
    overlaps.get(JSON.stringify([file, facts.photos[index + 1]?.file])),
  );
}

function signed(measure: Measure | undefined): string {
  if (measure === undefined) return notMeasured;
  const text = measure.value.toFixed(2);
  return text === "-0.00" ? "0.00" : measure.value > 0 && text !== "0.00" ? `+${text}` : text;
}

function percent(ratio: number, decimals: number): string {
  return (ratio * 100).toFixed(decimals);
}

function shutter(seconds: number): string {
  return seconds < 0.4 ? `1/${(1 / seconds).toFixed(0)}` : seconds.toFixed(1);
}
