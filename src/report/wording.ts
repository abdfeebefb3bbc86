import type { PhotoVerdict } from "../types/judgement.js";
import type { Measure, Unit } from "../types/units.js";

/** "1 photo", "3 photos", "0 photos". */
export function count(number: number, one: string, many = `${one}s`): string {
  return `${number} ${number === 1 ? one : many}`;
}

/** "a", "a and b", "a, b and c". */
export function listed(parts: readonly string[]): string {
  if (parts.length <= 1) return parts.join("");
  return `${parts.slice(0, -1).join(", ")} and ${parts.at(-1)}`;
}

/** With a capital first. */
export function capital(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}

/** With a small letter first. */
export function lowerCase(text: string): string {
  return text.slice(0, 1).toLowerCase() + text.slice(1);
}

/** The words the photo table and the headings use for a verdict. */
export const verdictMarks: Readonly<Record<PhotoVerdict, string>> = {
  pass: "",
  edit: "edit",
  "leave-out": "out",
  reshoot: "again",
};

/** A number at no more decimals than it needs, without trailing zeros: 0.5, -0.82, 12.1, 340. */
export function plainNumber(value: number, decimals = decimalsFor(value)): string {
  const text = value.toFixed(decimals);
  const trimmed = text.includes(".") ? text.replace(/\.?0+$/, "") : text;
  return trimmed === "-0" ? "0" : trimmed;
}

function decimalsFor(value: number): number {
  const size = Math.abs(value);
  if (size >= 100) return 0;
  if (size >= 10) return 1;
  return 2;
}

const unitWords: Readonly<Record<Unit, readonly [one: string, many: string]>> = {
  ratio: ["%", "%"],
  stops: ["stop", "stops"],
  "grey levels": ["grey level", "grey levels"],
  "grey levels squared": ["grey level squared", "grey levels squared"],
  px: ["px", "px"],
  "px at 1920": ["px", "px"],
  megapixels: ["megapixel", "megapixels"],
  degrees: ["degree", "degrees"],
  photos: ["photo", "photos"],
  matches: ["match", "matches"],
  keypoints: ["keypoint", "keypoints"],
  times: ["times", "times"],
};

/** What has to be said besides, where a number and its unit alone would mislead: pixels of a picture of which size. */
const atSize: Partial<Readonly<Record<Unit, string>>> = { "px at 1920": "at a long edge of 1,920 px" };

/** A measure for people: "-0.82 stops", "71 %", "2 photos". */
export function withUnit(measure: Measure, extraDecimals = 0): string {
  const { value, unit } = measure;
  const shown = unit === "ratio" ? value * 100 : value;
  const number = plainNumber(shown, decimalsFor(shown) + extraDecimals);
  return `${number} ${unitWord(number, unit)}`;
}

function unitWord(number: string, unit: Unit): string {
  const [one, many] = unitWords[unit];
  return number === "1" || number === "-1" ? one : many;
}

/** A number as it stands in the code and in a limits file: a ratio stays a ratio. */
export function asStored({ value, unit }: Measure): string {
  const number = plainNumber(value, 6);
  const words = unit === "ratio" ? unit : unitWord(number, unit);
  return `${number} ${words}${unit in atSize ? ` ${atSize[unit]}` : ""}`;
}

/** The sign tells nothing here: a limit holds either way. */
function unsigned({ value, unit }: Measure, extraDecimals: number): string {
  return withUnit({ value: Math.abs(value), unit }, extraDecimals);
}

/** Measured value and limit of one unit, with as many decimals as it takes to tell them apart. */
export function measuredAgainst(measured: Measure, limit: Measure | undefined): string {
  const size = measured.unit in atSize ? `, ${atSize[measured.unit]}` : "";
  if (limit === undefined) return `measured ${withUnit(measured)}${size}`;
  let extra = 0;
  while (
    extra < 4 &&
    Math.abs(measured.value) !== Math.abs(limit.value) &&
    unsigned(measured, extra) === unsigned(limit, extra)
  )
    extra++;
  return `measured ${withUnit(measured, extra)}, limit ${withUnit(limit, extra)}${size}`;
}
