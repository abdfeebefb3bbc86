import { Chalk } from "chalk";
import type { Report } from "../types/report.js";
import type { SinceLastRun } from "../types/since.js";
import { everythingLines } from "./everything.js";
import { quietLines } from "./quiet.js";
import { shortLines } from "./short.js";

export interface TerminalOptions {
  /** Width of the screen; no line is longer. Below 48 the width is taken as 48, above 120 as 120. */
  readonly columns: number;
  readonly colour: boolean;
  /** "short" (unless said): the verdict and what to do. "quiet": the same, one line a photo or gap. "all": all there is. */
  readonly form?: "short" | "quiet" | "all";
  /** What has changed since the last run on the same folder, where that is known. */
  readonly since?: SinceLastRun;
}

/** Screens narrower than this cannot hold the table. */
export const narrowest = 48;
/** Longer lines are hard to read. */
export const widest = 120;

/** The report for people. The verdict with what to do comes first and, where anything follows, last. Pure; ends in one line break. */
export function renderTerminal(
  report: Report,
  { columns, colour, form = "short", since }: TerminalOptions,
): string {
  const screen = {
    columns: Math.max(narrowest, Math.min(widest, Math.floor(columns))),
    ink: new Chalk({ level: colour ? 1 : 0 }),
  };
  const render = { short: shortLines, quiet: quietLines, all: everythingLines }[form];
  return `${render(report, screen, since).join("\n")}\n`;
}
