import { cpus, loadavg } from "node:os";
import sharp from "sharp";
import type { Cost } from "./run.js";

export interface Row {
  readonly name: string;
  readonly cost: Cost;
}

/** Something that must not be more than so much. */
export interface Bar {
  readonly what: string;
  readonly value: number;
  readonly bar: number;
  /** Where one is set: what would be better still. */
  readonly stretch?: number;
  readonly unit: "s" | "MiB" | "times";
}

/** Markdown: a row each with its ratio to the first, which is goodgate. */
export function costTable(rows: readonly Row[]): string {
  const own = rows[0].cost;
  const lines = rows.map(({ name, cost }) =>
    [
      name,
      cost.wallS.toFixed(1),
      cost.cpuS.toFixed(1),
      cost.peakMib.toFixed(0),
      (own.wallS / cost.wallS).toFixed(2),
      (own.cpuS / cost.cpuS).toFixed(2),
    ].join(" | "),
  );
  return [
    "| what | wall, s | CPU, s | peak memory of one process, MiB | goodgate's wall over it, times | goodgate's CPU over it, times |",
    "|---|--:|--:|--:|--:|--:|",
    ...lines.map((line) => `| ${line} |`),
  ].join("\n");
}

/** Markdown: every bar, and whether it is held. */
export function barTable(bars: readonly Bar[]): string {
  const number = (value: number, unit: Bar["unit"]) => `${value.toFixed(unit === "MiB" ? 0 : 2)} ${unit}`;
  const lines = bars.map(({ what, value, bar, stretch, unit }) =>
    [
      what,
      number(value, unit),
      number(bar, unit),
      stretch === undefined ? "" : number(stretch, unit),
      value > bar ? "missed" : stretch !== undefined && value <= stretch ? "held, stretch too" : "held",
    ].join(" | "),
  );
  return [
    "| | measured | bar | stretch | |",
    "|---|--:|--:|--:|---|",
    ...lines.map((line) => `| ${line} |`),
  ].join("\n");
}

export function machineInWords(): string {
  const all = cpus();
  return (
    `${all.length} cores (${all[0]?.model ?? "unknown"}), Node ${process.versions.node}, ` +
    `sharp ${sharp.versions.sharp ?? "?"}, load average ${loadavg()[0].toFixed(1)}`
  );
}
