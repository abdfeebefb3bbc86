/** One line of an evaluation: figures, and the bars they must not exceed (or, with atLeast, fall under). */
export interface Row {
  readonly what: string;
  readonly measured: readonly number[];
  readonly bar?: readonly number[];
  readonly atLeast?: boolean;
}

export interface Section {
  readonly title: string;
  /** What was measured how, for readers. */
  readonly about: string;
  readonly rows: readonly Row[];
}

/** Linear interpolation between order statistics; NaN without values. */
export function percentile(values: readonly number[], share: number): number {
  if (values.length === 0) return Number.NaN;
  const sorted = [...values].sort((a, b) => a - b);
  const at = share * (sorted.length - 1);
  const low = Math.floor(at);
  const high = Math.min(low + 1, sorted.length - 1);
  return sorted[low] + (at - low) * (sorted[high] - sorted[low]);
}

/** Median, 90th percentile and largest. */
export function spread(values: readonly number[]): number[] {
  return [percentile(values, 0.5), percentile(values, 0.9), percentile(values, 1)];
}

export function met(row: Row): boolean {
  return (row.bar ?? []).every((bar, i) => (row.atLeast ? row.measured[i] >= bar : row.measured[i] <= bar));
}

/** A section as Markdown. */
export function renderSection({ title, about, rows }: Section): string {
  const lines = rows.map((row) => {
    const bar = row.bar ? `${row.atLeast ? ">=" : "<="} ${row.bar.map(figure).join(" / ")}` : "-";
    return `| ${row.what} | ${row.measured.map(figure).join(" / ")} | ${bar} | ${row.bar ? (met(row) ? "held" : "MISSED") : ""} |`;
  });
  const table = ["| figure | measured | bar | |", "| --- | ---: | ---: | --- |", ...lines];
  return `## ${title}\n\n${about}\n\n${table.join("\n")}\n`;
}

/** Three decimals at most; whole numbers without any. */
function figure(value: number): string {
  return Math.abs(value) >= 100 ? value.toFixed(0) : value.toFixed(3).replace(/\.?0+$/, "");
}
