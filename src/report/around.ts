import { visible } from "../controls.js";
import type { AroundBand, AroundPart, BandName } from "../types/around.js";
import type { Finding, Judgement, PhotoVerdict } from "../types/judgement.js";
import type { Report } from "../types/report.js";

import { count } from "./wording.js";

/** One line of the picture; `label` goes to the margin. */
export interface PictureLine {
  readonly label: string;
  readonly text: string;
  /** Whether it shows a gap. */
  readonly gap: boolean;
}

/** One part's picture with what is to be said of it. */
export interface CoveragePicture {
  readonly title: string;
  readonly lines: readonly PictureLine[];
  /** What stands behind its letters and gaps, by what is to be done. */
  readonly names: readonly PictureNames[];
}

export interface PictureNames {
  /** "again", "out", "add" */
  readonly label: string;
  /** "a jug_012.jpg, b jug_030.jpg" */
  readonly text: string;
}

/** From the top, as one sees them. */
const ROWS: readonly { readonly name: BandName; readonly label: string }[] = [
  { name: "overhead", label: "overhead" },
  { name: "high", label: "high 40-65" },
  { name: "middle", label: "middle 15-40" },
  { name: "low", label: "low under 15" },
  { name: "below", label: "below -30" },
];

/** The first photo stands where a clock has its 6: one walks round the subject as the hands go. */
export const HOURS = ["6", "7", "8", "9", "10", "11", "12", "1", "2", "3", "4", "5"] as const;
/** Columns an hour from which all twelve can be written. */
const ROOMY_HOUR = 4;
/** More parts than this are not drawn: the report says that the set falls apart. */
const MOST_PARTS = 3;

/** The marks of the picture, for its legend. */
export const pictureLegend: readonly (readonly [mark: string, words: string])[] = [
  ["o", "a photo; a number where several stand together (+ for ten or more)"],
  ["a b c", "photos to take again or to move out, named below the picture (x where letters run out)"],
  ["...", "steps that are no gap; where it is blank, another height shows it or nothing is asked for"],
  ["[41]", "a gap and how many degrees it is wide (! where there is no room for the number)"],
  ["###", "a side that no photo shows, as of a prop that stands before a wall"],
];

/**
 * The photos by direction around the subject and by height, as text: a column a direction, a row a height, with the gaps
 * that the findings name. None where too little is known.
 *
 * @param width columns there are, 24 at the least
 */
export function coveragePictures(report: Report, width: number): readonly CoveragePicture[] {
  const parts = report.judgement.around.placed.slice(0, MOST_PARTS);
  const perHour = Math.floor(width / HOURS.length);
  if (perHour < 2) return [];
  return parts.map((part) => {
    const columns = perHour * HOURS.length;
    const letters = lettersOf(part, columns, report);
    const unseen = unseenRow(part, columns, report);
    return {
      title: titleOf(part, report, parts.length > 1),
      lines: [
        { label: "", text: clockLine(perHour), gap: false },
        ...ROWS.filter(({ name }) => name !== "below" || part.bands.some((band) => band.name === name)).map(
          ({ name, label }) => ({ label, ...rowOf(part, name, report, columns, letters) }),
        ),
        ...(unseen === undefined ? [] : [{ label: "not seen", text: unseen, gap: true }]),
      ],
      names: namesOf(part, letters, report),
    };
  });
}

/** All but those that mark other things. */
const LETTERS = [..."abcdefghijklmnpqrstuvwyzABCDEFGHIJKLMNPQRSTUVWYZ"];

/** The letter of each photo that is to be taken again or moved out, row by row as they stand; photos in one place share one. */
function lettersOf(part: AroundPart, columns: number, report: Report): ReadonlyMap<string, string> {
  const free = [...LETTERS];
  const letters = new Map<string, string>();
  for (const { name } of ROWS) {
    const band = part.bands.find((one) => one.name === name);
    if (band === undefined) continue;
    const places = photosByCell(band, columnsOf(part, columns));
    for (const [, files] of [...places].sort(([a], [b]) => a - b)) {
      const going = files.filter((file) => isGoing(file, report.judgement));
      const letter = going.length === 0 ? undefined : free.shift();
      if (letter !== undefined) for (const file of going) letters.set(file, letter);
    }
  }
  return letters;
}

function isGoing(file: string, { photoVerdicts }: Judgement): boolean {
  const verdict = photoVerdicts.get(file);
  return verdict === "reshoot" || verdict === "leave-out";
}

function namesOf(
  part: AroundPart,
  letters: ReadonlyMap<string, string>,
  { judgement }: Report,
): PictureNames[] {
  const lettered = (verdict: PhotoVerdict): string[] =>
    [...letters]
      .filter(([file]) => judgement.photoVerdicts.get(file) === verdict)
      .map(([file, letter]) => `${letter} ${visible(file)}`);
  const gaps = judgement.findings.filter(
    ({ check, photos }) =>
      (check === "gap" || check === "open-ring") && photos.every((file) => part.photos.includes(file)),
  );
  return [
    { label: "again", text: lettered("reshoot").join(", ") },
    { label: "out", text: lettered("leave-out").join(", ") },
    {
      label: "add",
      text: gaps
        .map(({ photos, measured, toAdd = 0 }) => {
          const width = measured === undefined ? "" : `[${Math.round(measured.value)}] `;
          return `${width}${toAdd} between ${photos.map(visible).join(" and ")}`;
        })
        .join("; "),
    },
  ].filter(({ text }) => text !== "");
}

/** The side that is never seen, where a finding says that there is one, or only part of the way round is wanted. */
function unseenRow(part: AroundPart, columns: number, { facts, judgement }: Report): string | undefined {
  const one = judgement.findings.some(
    ({ check, photos }) => check === "one-side" && photos.some((file) => part.photos.includes(file)),
  );
  if (!one && facts.around.wantedSpanDeg >= 360) return undefined;
  const overhead = new Set(part.bands.find(({ name }) => name === "overhead")?.photos);
  const taken = new Set(
    [...columnsOf(part, columns)].filter(([file]) => !overhead.has(file)).map(([, column]) => column),
  );
  const runs = [...taken].map((from) => {
    const free = Array.from({ length: columns - 1 }, (_, i) => (from + 1 + i) % columns);
    const end = free.findIndex((cell) => taken.has(cell));
    return end === -1 ? free : free.slice(0, end);
  });
  const widest = new Set(runs.reduce<number[]>((best, run) => (run.length > best.length ? run : best), []));
  return Array.from({ length: columns }, (_, cell) => (widest.has(cell) ? "#" : " "))
    .join("")
    .trimEnd();
}

/** The column of each placed photo. */
function columnsOf({ cameras }: AroundPart, columns: number): ReadonlyMap<string, number> {
  return new Map(
    cameras.map(({ file, azimuthDeg }) => [file, Math.round((azimuthDeg * columns) / 360) % columns]),
  );
}

function titleOf(part: AroundPart, { facts }: Report, several: boolean): string {
  const first = part.cameras.find(({ azimuthDeg }) => azimuthDeg === 0);
  const number = facts.photos.findIndex(({ file }) => file === first?.file) + 1;
  const which = several
    ? `The ${count(part.photos.length, "photo")} that hang together with no. ${number}. `
    : "";
  return `${which}Directions as on a clock seen from above, with no. ${number} (${visible(first?.file ?? "")}) at 6 o'clock.`;
}

function clockLine(perHour: number): string {
  return HOURS.map((hour, i) => (perHour >= ROOMY_HOUR || i % 3 === 0 ? hour : "").padEnd(perHour))
    .join("")
    .trimEnd();
}

function rowOf(
  part: AroundPart,
  name: BandName,
  { judgement }: Report,
  columns: number,
  letters: ReadonlyMap<string, string>,
): { text: string; gap: boolean } {
  const band = part.bands.find((one) => one.name === name);
  if (band === undefined) return { text: "no photo", gap: false };
  const column = columnsOf(part, columns);
  const cells: string[] = new Array(columns).fill(" ");
  let gap = false;
  for (const step of band.steps) {
    const { fromPhoto, toPhoto, angleDeg } = step;
    const between = cellsBetween(column.get(fromPhoto) ?? 0, column.get(toPhoto) ?? 0, columns);
    const reported = judgement.findings.find((finding) => tells(finding, fromPhoto, toPhoto));
    gap ||= reported !== undefined;
    // The finding's own figure: an open side is told by how far round it goes, not by the angle across.
    if (reported) drawGap(cells, between, `${Math.round(reported.measured?.value ?? angleDeg)}`);
    else if (!judgement.around.wide.has(step)) for (const cell of between) cells[cell] = ".";
  }
  drawPhotos(cells, photosByCell(band, column), (file) => {
    return isGoing(file, judgement) ? (letters.get(file) ?? "x") : undefined;
  });
  return { text: cells.join("").trimEnd(), gap };
}

function tells({ check, photos }: Finding, one: string, other: string): boolean {
  return (check === "gap" || check === "open-ring") && photos.includes(one) && photos.includes(other);
}

/** Cells after `from` and before `to`, the way a clock goes; none where both stand in one cell or side by side. */
function cellsBetween(from: number, to: number, columns: number): number[] {
  const length = (to - from - 1 + columns) % columns;
  return from === to ? [] : Array.from({ length }, (_, i) => (from + 1 + i) % columns);
}

function drawGap(cells: string[], between: readonly number[], width: string): void {
  if (between.length < 2) {
    for (const cell of between) cells[cell] = "!";
    return;
  }
  cells[between[0]!] = "[";
  cells[between.at(-1)!] = "]";
  const inner = between.slice(1, -1);
  // Where the gap runs over the edge of the picture, the number goes to its longer side.
  const edge = inner.findIndex((cell, i) => i > 0 && cell < inner[i - 1]!);
  const sides = edge === -1 ? [inner] : [inner.slice(0, edge), inner.slice(edge)];
  const longest = sides.reduce((a, b) => (b.length > a.length ? b : a));
  if (longest.length < width.length) return;
  const start = (longest.length - width.length) >> 1;
  for (const [i, digit] of [...width].entries()) cells[longest[start + i]!] = digit;
}

/** Photos by the cell they fall in. */
function photosByCell(
  { photos }: AroundBand,
  column: ReadonlyMap<string, number>,
): ReadonlyMap<number, readonly string[]> {
  const at = new Map<number, string[]>();
  for (const file of photos) {
    const cell = column.get(file);
    if (cell !== undefined) at.set(cell, [...(at.get(cell) ?? []), file]);
  }
  return at;
}

/** @param markOf the mark of a photo that is to go; it is drawn over good ones in the same place, which are not looked for */
function drawPhotos(
  cells: string[],
  places: ReadonlyMap<number, readonly string[]>,
  markOf: (file: string) => string | undefined,
): void {
  for (const [cell, files] of places) {
    const mark = files.map(markOf).find((one) => one !== undefined);
    cells[cell] = mark ?? (files.length === 1 ? "o" : files.length > 9 ? "+" : `${files.length}`);
  }
}
