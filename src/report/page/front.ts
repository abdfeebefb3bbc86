import type { Report } from "../../types/report.js";
import { captureOrder, photoList } from "../photo-list.js";
import { heightWords, type Place } from "../place.js";
import { type Task, type TaskKind, toDo } from "../to-do.js";
import { type VerdictWords, verdictWords } from "../verdict.js";
import { count, listed } from "../wording.js";
import { type Html, html } from "./html.js";

/** The parts of the list, in its order. What is shot is one walk: photos to take again and places to add to stand mixed. */
const PARTS: readonly (readonly [name: string, heading: string, kinds: readonly TaskKind[]])[] = [
  ["set", "The whole set", ["set"]],
  ["know", "To make it known", ["know"]],
  ["files", "Files first", ["files"]],
  ["walk", "With the camera, in the order you walk", ["again", "add"]],
  ["out", "Move out of the folder", ["out"]],
  ["edit", "In a photo editor", ["edit"]],
];

/** The mark and the words of each kind that has them. */
const SIGNS: Partial<Readonly<Record<TaskKind, string>>> = {
  again: "take again",
  add: "add",
  out: "move out",
  edit: "edit",
};

/** The sheet to carry back to the set: the verdict, and all there is to do. */
export function frontSheet(report: Report): Html {
  const todo = toDo(report);
  const words = verdictWords(report, todo);
  return html`<section class="front${todo.tasks.length > FITS_SHEET ? " long" : ""}" aria-labelledby="verdict">
<p class="job">${report.facts.folder}</p>
${verdict(report, words)}
${PARTS.map(([name, heading, kinds]) =>
  taskList(
    name,
    heading,
    todo.tasks.filter(({ kind }) => kinds.includes(kind)),
    report,
  ),
)}
${todo.notes > 0 && html`<p class="aside">${count(todo.notes, "note")} that nobody has to act on: at the end of this page.</p>`}
</section>`;
}

function verdict(
  { judgement }: Report,
  { word, whatItIs, ready, tasks, counted, caution }: VerdictWords,
): Html {
  return html`<h1 id="verdict" class="verdict ${judgement.verdict}">${RING}<span>${word}</span></h1>
<div class="sum">
${whatItIs !== undefined && html`<p class="what">${whatItIs}</p>`}
<p>${ready} ${tasks}</p>
<p>${counted}</p>
${caution !== undefined && html`<p class="care">${caution}</p>`}
</div>`;
}

/** Drawn by hand around the verdict. */
const RING = html`<svg class="ring" viewBox="0 0 300 100" preserveAspectRatio="none" aria-hidden="true"><path d="M52 14C130 2 268 0 290 40 306 84 190 98 110 95 40 93 2 74 10 46 18 20 96 8 180 9"/></svg>`;

function taskList(name: string, heading: string, tasks: readonly Task[], report: Report): Html | undefined {
  if (tasks.length === 0) return undefined;
  return html`<section class="tasks ${name}" aria-labelledby="do-${name}">
<h2 id="do-${name}">${heading}</h2>
<ol>${tasks.map((task) => taskItem(task, report))}</ol>
</section>`;
}

/** Tasks that go on one printed sheet with their pictures; more are printed small and without. */
const FITS_SHEET = 14;

/** Photos of a task that are shown beside it. */
const MOST_SHOWN = 2;

function taskItem(task: Task, { facts }: Report): Html {
  const { kind, photos, place, reasons, advice, shots } = task;
  const order = captureOrder(facts.photos);
  const beside = kind === "add" ? (place?.between ?? []) : photos;
  const shown = beside.flatMap((file) => order.get(file) ?? []).slice(0, MOST_SHOWN);
  const what =
    kind === "add" && shots > 0
      ? count(shots, "photo")
      : photos.length > 0
        ? photoList(photos, order)
        : undefined;
  const where = kind === "again" || kind === "add" ? place && placeWords(place) : undefined;
  const sign = SIGNS[kind];
  return html`<li class="${kind}">${
    shown.length > 0 &&
    html`<span class="shown">${shown.map((at) => html`<button type="button" class="see" data-photo="${at}" aria-label="Show ${facts.photos[at]!.file}"><img data-thumb="${at}" alt=""></button>`)}</span>`
  }<div>${sign !== undefined && html`<p class="deed"><svg class="sign" viewBox="0 0 100 100" aria-hidden="true"><use href="#${kind}"/></svg>${sign}</p>`}${what !== undefined && html`<p class="doing">${what}</p>`}${reasons.length > 0 && html`<p class="reason">${listed(reasons)}</p>`}${where && html`<p class="where">${where}</p>`}${advice.map((sentence) => html`<p class="advice">${sentence}</p>`)}</div></li>`;
}

/** "Stand at 10 o'clock, at middle height, between jug_001.jpg and jug_002.jpg (jug_003.jpg is at 6)." */
function placeWords({ hour, toHour, height, between, sixOClock }: Place): string | undefined {
  const clock =
    hour === undefined
      ? undefined
      : toHour === undefined
        ? `at ${hour} o'clock`
        : `from ${hour} to ${toHour} o'clock`;
  const neighbours =
    between.length === 0
      ? undefined
      : between.length === 1
        ? `beside ${between[0]}`
        : `between ${listed(between)}`;
  const parts = [clock, height && heightWords[height], neighbours].filter((part) => part !== undefined);
  if (parts.length === 0) return undefined;
  const six = hour !== undefined && sixOClock !== undefined ? ` (${sixOClock} is at 6)` : "";
  return `Stand ${parts.join(", ")}${six}.`;
}
