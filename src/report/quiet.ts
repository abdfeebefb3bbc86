import { visible } from "../controls.js";
import type { Report } from "../types/report.js";
import { clauses } from "./fit.js";
import { type Screen, verdictInk } from "./screen.js";
import { type Task, type TaskKind, toDo } from "./to-do.js";
import { verdictWords } from "./verdict.js";

/** The first word of a line, for scripts. */
const WORDS: Readonly<Record<TaskKind, string>> = {
  set: "set",
  know: "unknown",
  files: "file",
  again: "again",
  add: "add",
  out: "out",
  edit: "edit",
};

/**
 * The verdict, then one line a photo or gap, whatever the screen's width: what to do, the file (of a gap, the two photos
 * beside it; "-" for the whole set) and why, with a tab between.
 */
export function quietLines(report: Report, { ink }: Pick<Screen, "ink">): string[] {
  const { judgement, facts } = report;
  const todo = toDo(report);
  const { word, tasks } = verdictWords(report, todo);
  const paint = verdictInk(judgement.verdict, ink);
  return [`${paint(word)}: ${visible(facts.folder)}. ${tasks}`, ...todo.tasks.flatMap(linesOf)];
}

function linesOf({ kind, photos, shots, place, reasons, advice }: Task): string[] {
  const why = [...reasons, ...(reasons.length === 0 ? clauses(advice[0] ?? "").slice(0, 1) : [])].join("; ");
  const what = kind === "add" && shots > 0 ? `${WORDS.add} ${shots}` : WORDS[kind];
  const beside = place === undefined ? "-" : place.between.join(" and ");
  const files = photos.length > 0 ? photos : [beside];
  return files.map((file) => [what, file, why].map(visible).join("\t"));
}
