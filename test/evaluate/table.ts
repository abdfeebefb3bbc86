/** One line of an evaluation: figures, and the bars they must not exceed (or, with atLeast, fall under). */
export interface Row {
  readonly what: string;
  readonly measured: readonly number[];
  readonly bar?: readonly number[];
  readonly atLeast?: boolean;
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

export function met(row: Row): boolean {
  return (row.bar ?? []).every((bar, i) => (row.atLeast ? row.measured[i] >= bar : row.measured[i] <= bar));
}

/** Writes the rows and returns how many miss their bar. */
export function printRows(title: string, rows: readonly Row[]): number {
  console.log(`\n${title}`);
  for (const row of rows) {
    const figures = row.measured.map((v) => v.toFixed(3).replace(/\.?0+$/, "")).join(" / ");
    const bar = row.bar
      ? `  bar ${row.atLeast ? ">=" : "<="} ${row.bar.join(" / ")}  ${met(row) ? "met" : "MISSED"}`
      : "";
    console.log(`  ${row.what}: ${figures}${bar}`);
  }
  return rows.filter((row) => !met(row)).length;
}
