import type { ChalkInstance } from "chalk";
import type { SetVerdict } from "../types/judgement.js";
import { displayWidth, wrap } from "./text.js";
import type { VerdictWords } from "./verdict.js";
import { lowerCase } from "./wording.js";

/** What a text is written for. */
export interface Screen {
  readonly columns: number;
  readonly ink: ChalkInstance;
  /** Names and headings stand in this margin, words to the right of it. */
  readonly margin: number;
}

export type Ink = (text: string) => string;
const plain: Ink = (text) => text;

export function verdictInk(verdict: SetVerdict, ink: ChalkInstance): ChalkInstance {
  if (verdict === "pass") return ink.green.bold;
  return verdict === "reshoot" ? ink.red.bold : ink.yellow.bold;
}

/** A text to the right of the margin, the label in the margin. */
export function marginLines(label: string, text: string, screen: Screen, ink: Ink = plain): string[] {
  return besideLabel(label, wrap(text, screen.columns - screen.margin), screen, ink);
}

/** A text to the right of the margin. */
export function textLines(text: string, { columns, margin }: Screen, ink: Ink = plain): string[] {
  return wrap(text, columns - margin).map((line) => " ".repeat(margin) + ink(line));
}

/** Lines to the right of the margin, the label in the margin beside the first, or above it where too long. */
export function besideLabel(
  label: string,
  body: readonly string[],
  { columns, margin }: Screen,
  ink: Ink = plain,
): string[] {
  const indented = body.map((line) => " ".repeat(margin) + line);
  const [first, ...rest] = body;
  if (first === undefined || displayWidth(label) > margin - 1)
    return [...wrap(label, columns).map((line) => ink(line)), ...indented];
  return [
    ink(label) + " ".repeat(margin - displayWidth(label)) + first,
    ...rest.map((line) => " ".repeat(margin) + line),
  ];
}

/** The verdict once more, where one reads it without scrolling back. */
export function lastLines(
  verdict: SetVerdict,
  { word, tasks }: VerdictWords,
  { columns, ink }: Omit<Screen, "margin">,
): string[] {
  const paint = verdictInk(verdict, ink);
  const [first = "", ...rest] = wrap(`${word}: ${lowerCase(tasks)}`, columns);
  return ["", paint(word) + first.slice(word.length), ...rest];
}
