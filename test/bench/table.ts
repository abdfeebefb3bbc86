import { cpus, loadavg } from "node:os";
import sharp from "sharp";
import type { Cost } from "./run.js";

/** Most a check of the 70 photos may take on two cores. */
export const WALL_BAR_S = 25;
/** Most memory it may hold. */
export const MEMORY_BAR_MIB = 500;

export interface Row {
  readonly name: string;
  readonly cost: Cost;
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

/** The bars, and whether they hold. */
export function barLines(own: Cost): string {
  const line = (what: string, value: number, bar: number, unit: string): string =>
    `- ${what}: ${value.toFixed(1)} ${unit}, bar ${bar} ${unit}: ${value <= bar ? "held" : "not held"}`;
  return [
    line("wall", own.wallS, WALL_BAR_S, "s"),
    line("CPU over two cores", own.cpuS / 2, WALL_BAR_S, "s"),
    line("peak memory", own.peakMib, MEMORY_BAR_MIB, "MiB"),
  ].join("\n");
}

export function machineInWords(): string {
  const all = cpus();
  return (
    `${all.length} cores (${all[0]?.model ?? "unknown"}), Node ${process.versions.node}, ` +
    `sharp ${sharp.versions.sharp ?? "?"}, load average ${loadavg()[0].toFixed(1)}`
  );
}
