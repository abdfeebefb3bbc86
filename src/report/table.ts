import Table from "cli-table3";

/** One cell, or one that runs over several columns. */
export type Cell = string | { readonly content: string; readonly colSpan: number; readonly hAlign: "left" };

export interface TableColumn {
  /** Columns of the screen. */
  readonly width: number;
  readonly align: "left" | "right";
}

/**
 * A table without borders, which also reads well piped: its lines, without blanks at their ends.
 *
 * @param wrapped whether a cell that is too long runs on over further lines; else it is cut
 */
export function plainTable(
  columns: readonly TableColumn[],
  rows: readonly (readonly Cell[])[],
  wrapped = false,
): string[] {
  const table = new Table({
    chars: NO_BORDERS,
    colWidths: columns.map(({ width }) => width),
    colAligns: columns.map(({ align }) => align),
    wordWrap: wrapped,
    style: { "padding-left": 0, "padding-right": 0, head: [], border: [] },
  });
  table.push(...rows.map((row) => [...row]));
  return table
    .toString()
    .split("\n")
    .map((line) => line.trimEnd());
}

const SIDES = ["top", "bottom", "left", "right"].flatMap((side) => [
  side,
  `${side}-mid`,
  `${side}-left`,
  `${side}-right`,
]);
const NO_BORDERS = Object.fromEntries([...SIDES, "mid", "mid-mid", "middle"].map((part) => [part, ""]));
