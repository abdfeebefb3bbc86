import type { Report } from "#goodgate/types/report.js";
import type { CaptureTruth } from "./truth.js";

/** A capture with what the audit says of it. */
export interface Capture {
  readonly truth: CaptureTruth;
  readonly report: Report;
}

/** One matter that captures are held to the truth in. */
export interface Topic {
  readonly title: string;
  /** What was measured how, for readers. */
  readonly about: string;
  readonly columns: readonly string[];
  /** Cells of each line that a capture gives; none where its truth says nothing of the matter. */
  rows(capture: Capture): readonly (readonly (string | number)[])[];
}

/** A topic over all captures, as Markdown. */
export function renderTopic({ title, about, columns, rows }: Topic, captures: readonly Capture[]): string {
  const lines = captures.flatMap((capture) =>
    rows(capture).map((cells) => `| ${[capture.truth.name, ...cells.map(cell)].join(" | ")} |`),
  );
  const head = `| ${["capture", ...columns].join(" | ")} |`;
  const rule = `| ${["---", ...columns.map(() => "---:")].join(" | ")} |`;
  return [`## ${title}`, "", about, "", head, rule, ...lines, ""].join("\n");
}

/** Two decimals at most. */
function cell(value: string | number): string {
  return typeof value === "string" ? value : String(Math.round(100 * value) / 100);
}
