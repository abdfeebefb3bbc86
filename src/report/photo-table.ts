import { visible } from "../controls.js";
import type { PhotoFacts } from "../types/facts.js";
import type { Report } from "../types/report.js";
import type { Measure } from "../types/units.js";
import { type Cell, plainTable, type TableColumn } from "./table.js";
import { displayWidth, shorten } from "./text.js";

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
    legend: "brightness of the same surface against most of the set, plus is brighter",
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

const onWideScreens: readonly Column[] = [
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
const wideFrom = 100;
const widestName = 40;
const NARROWEST_NAME = 12;
const NUMBER_WIDTH = 3;

/** The table of all photos in capture order, one line each, then the files that gave no picture. */
export function photoTable(report: Report, columns: number): readonly TableLine[] {
  const shown = columnsFor(columns);
  const { photos, unreadable, unsupported } = report.facts;
  const numberWidth = Math.max(NUMBER_WIDTH, String(photos.length).length);
  const cells = shown.reduce((sum, { width }) => sum + width, 0);
  const files = [...photos, ...unreadable, ...unsupported].map(({ file }) => visible(file));
  const longest = Math.max(5, ...files.map((name) => displayWidth(name)));
  const nameWidth = Math.min(longest, widestName, columns - markWidth - numberWidth - 1 - cells);

  const layout: readonly TableColumn[] = [
    { width: markWidth, align: "left" },
    { width: numberWidth, align: "right" },
    { width: 1, align: "left" },
    { width: nameWidth, align: "left" },
    ...shown.map(({ width }) => ({ width, align: "right" }) as const),
  ];
  const unread = (file: string, mark: string, reason: string): Row => ({
    mark,
    cells: [
      mark,
      "",
      "",
      shorten(visible(file), nameWidth),
      { content: `  ${reason}`, colSpan: shown.length, hAlign: "left" },
    ],
  });
  const overlaps = nextOverlaps(report);
  const rows: readonly Row[] = [
    { mark: "", cells: ["", "", "", "", ...shown.map(({ head }) => head)] },
    { mark: "", cells: ["", "no.", "", "photo", ...shown.map(({ unit }) => unit)] },
    ...photos.map((photo, index) => {
      const mark = verdictMarks[report.judgement.photoVerdicts.get(photo.file) ?? "pass"];
      const name = shorten(visible(photo.file), nameWidth);
      const measured = shown.map((column) => column.cell(photo, overlaps[index]));
      return { mark, cells: [mark, String(index + 1), "", name, ...measured] };
    }),
    ...unreadable.map(({ file }) => unread(file, "copy", "cannot be read")),
    ...unsupported.map(({ file }) => unread(file, "", "raw, no preview inside")),
  ];
  const lines = plainTable(
    layout,
    rows.map(({ cells }) => cells),
  );
  return lines.map((text, index) => ({ text: shorten(text, columns), mark: rows[index]!.mark }));
}

interface Row {
  readonly mark: string;
  readonly cells: readonly Cell[];
}

/** What the columns mean, one clause each. */
export function tableLegend(columns: number): readonly (readonly [head: string, legend: string])[] {
  return [
    ...columnsFor(columns).map(({ head, legend }) => [head, legend] as const),
    [notMeasured, "not measured"],
  ];
}

/** As many columns as leave room for a name. */
function columnsFor(columns: number): readonly Column[] {
  const shown: Column[] = [];
  let left = columns - markWidth - NUMBER_WIDTH - 1 - NARROWEST_NAME;
  for (const column of columns >= wideFrom ? [...essential, ...onWideScreens] : essential) {
    left -= column.width;
    if (left >= 0) shown.push(column);
  }
  return shown;
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
