import { visible } from "../controls.js";
import type { AroundBand, AroundPart, BandName } from "../types/around.js";
import type { Finding } from "../types/judgement.js";
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
const HOURS = ["6", "7", "8", "9", "10", "11", "12", "1", "2", "3", "4", "5"] as const;
/** Columns an hour from which all twelve can be written. */
const ROOMY_HOUR = 4;
/** More parts than this are not drawn: the report says that the set falls apart. */
const MOST_PARTS = 3;

/** The marks of the picture, for its legend. */
export const pictureLegend: readonly (readonly [mark: string, words: string])[] = [
  ["o", "a photo; a number where several stand together (+ for ten or more), x where all of them are to go"],
  ["...", "steps that are no gap; where it is blank, another height shows it or nothing is asked for"],
  ["[41]", "a gap and how many degrees it is wide (! where there is no room for the number)"],
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
  return parts.map((part) => ({
    title: titleOf(part, report, parts.length > 1),
    lines: [
      { label: "", text: clockLine(perHour), gap: false },
      ...ROWS.filter(({ name }) => name !== "below" || part.bands.some((band) => band.name === name)).map(
        ({ name, label }) => ({
          label,
          ...rowOf(part, name, report, perHour * HOURS.length),
        }),
      ),
    ],
  }));
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
): { text: string; gap: boolean } {
  const band = part.bands.find((one) => one.name === name);
  if (band === undefined) return { text: "no photo", gap: false };
  const column = new Map(
    part.cameras.map(({ file, azimuthDeg }) => [file, Math.round((azimuthDeg * columns) / 360) % columns]),
  );
  const cells: string[] = new Array(columns).fill(" ");
  let gap = false;
  for (const step of band.steps) {
    const { fromPhoto, toPhoto, angleDeg } = step;
    const between = cellsBetween(column.get(fromPhoto) ?? 0, column.get(toPhoto) ?? 0, columns);
    const told = judgement.findings.find((finding) => tells(finding, fromPhoto, toPhoto));
    gap ||= told !== undefined;
    // The finding's own figure: an open side is told by how far round it goes, not by the angle across.
    if (told) drawGap(cells, between, `${Math.round(told.measured?.value ?? angleDeg)}`);
    else if (!judgement.around.wide.has(step)) for (const cell of between) cells[cell] = ".";
  }
  drawPhotos(cells, band, column, (file) => {
    const verdict = judgement.photoVerdicts.get(file);
    return verdict === "reshoot" || verdict === "leave-out";
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

function drawPhotos(
  cells: string[],
  { photos }: AroundBand,
  column: ReadonlyMap<string, number>,
  toGo: (file: string) => boolean,
): void {
  const at = new Map<number, string[]>();
  for (const file of photos) {
    const cell = column.get(file);
    if (cell !== undefined) at.set(cell, [...(at.get(cell) ?? []), file]);
  }
  for (const [cell, files] of at) {
    const good = files.filter((file) => !toGo(file)).length;
    cells[cell] = good === 0 ? "x" : good === 1 ? "o" : good > 9 ? "+" : `${good}`;
  }
}
