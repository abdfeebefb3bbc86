import { visible } from "../controls.js";
import type { Report } from "../types/report.js";
import type { SinceLastRun } from "../types/since.js";
import { clauses, firstFitting, fitted, type Names, waysToName } from "./fit.js";
import { captureOrder } from "./photo-list.js";
import { heightWords, type Place } from "./place.js";
import { besideLabel, lastLines, marginLines, type Screen, textLines, verdictInk } from "./screen.js";
import { sinceSentence } from "./since.js";
import { displayWidth, wrap } from "./text.js";
import { reasonOf, type Task, type TaskKind, type ToDo, toDo } from "./to-do.js";
import { type VerdictWords, verdictWords } from "./verdict.js";
import { capital, count, listed, lowerCase } from "./wording.js";

/** Where the margin ends. */
const MARGIN = 10;

/** Lines for up to twelve things to do, and for any number of them: what a screen or two can show. */
const FEW = 12;
const LINES_FOR_FEW = 45;
const MOST_LINES = 70;

/** Columns for which that is said; narrower screens take more lines for the same words. */
const COLUMNS = 80;

/** Characters a thing to do may take: two such lines. */
const TASK_CHARACTERS = 2 * COLUMNS;

/** The verdict and what to do, in the order one does it, and how much there is to read besides. */
export function shortLines(report: Report, given: Omit<Screen, "margin">, since?: SinceLastRun): string[] {
  const screen: Screen = { ...given, margin: MARGIN };
  const todo = toDo(report);
  const words = verdictWords(report, todo);
  const head = headLines(report, words, screen, since);
  const sections = sectionsOf(todo, report, screen);
  const named = sections.every(({ tasks }) => tasks.every(({ all }) => all));
  const foot = footLines(todo, named, screen);
  const last = lastLines(report.judgement.verdict, words, screen);
  const how = howLines(todo, report, screen);
  const few = todo.tasks.length <= FEW;
  const least = few ? 0 : how.length;
  const room = MOST_LINES - head.length - foot.length - last.length - least;
  const cut = cutTo(sections, room, screen);
  const taken = cut.reduce((sum, section) => sum + linesOf(section).length, 0);
  const most = few && screen.columns >= COLUMNS ? LINES_FOR_FEW : MOST_LINES;
  const left = most - head.length - taken - foot.length - last.length;
  const tasks = cut.flatMap((section) => [
    ...linesOf(section),
    ...(section.title === SHOOT && how.length <= left ? how : []),
  ]);
  const body = [...tasks, ...foot];
  return body.length === 0 ? head : [...head, ...body, ...last];
}

function headLines(report: Report, words: VerdictWords, screen: Screen, since?: SinceLastRun): string[] {
  const changed = since && sinceSentence(since, captureOrder(report.facts.photos));
  const { word, whatItIs, ready, tasks, counted, caution } = words;
  const ink = verdictInk(report.judgement.verdict, screen.ink);
  return [
    ...marginLines(word, whatItIs === undefined ? ready : `${whatItIs} ${ready}`, screen, ink),
    ...textLines(tasks, screen, screen.ink.bold),
    ...textLines(counted, screen),
    ...(changed === undefined
      ? []
      : fitted(clauses(changed), screen.columns - MARGIN, 2).flatMap((line) => textLines(line, screen))),
    ...(caution === undefined ? [] : textLines(caution, screen, screen.ink.yellow)),
  ];
}

/** How much there is to read besides, and how to. */
function footLines({ notes, unjudgedChecks }: ToDo, named: boolean, { columns, ink }: Screen): string[] {
  const parts = [
    ...(named ? [] : ["Not all photos are named here: --quiet has a line for each."]),
    ...(unjudgedChecks > 0
      ? [`Not judged everywhere: ${count(unjudgedChecks, "check")}; --all says where and why.`]
      : []),
    ...(notes > 0
      ? [
          `${count(notes, "note asks", "notes ask")} for nothing; --all prints ${notes === 1 ? "it" : "them"}.`,
        ]
      : []),
  ];
  if (parts.length === 0) return [];
  return ["", ...parts.flatMap((text) => wrap(text, columns).map((line) => ink.dim(line)))];
}

// ---------------------------------------------------------------- sections

interface Section {
  readonly title: string;
  /** A line under the title; none where the things to do say it all. */
  readonly intro: readonly string[];
  /** Lines of each thing to do, with what stands in the margin beside the first. */
  readonly tasks: readonly (TaskText & { readonly label: string })[];
  /** How many things to do are not named for want of room. */
  readonly cut: number;
  readonly screen: Screen;
}

const SHOOT = "SHOOT";

const SECTIONS: readonly { readonly title: string; readonly kinds: readonly TaskKind[] }[] = [
  { title: "SET", kinds: ["set"] },
  { title: "UNKNOWN", kinds: ["know"] },
  { title: "FILES", kinds: ["files"] },
  { title: SHOOT, kinds: ["again", "add"] },
  { title: "MOVE OUT", kinds: ["out"] },
  { title: "EDIT", kinds: ["edit"] },
];

function sectionsOf({ tasks }: ToDo, report: Report, screen: Screen): Section[] {
  const order = captureOrder(report.facts.photos);
  const most = Math.max(2, Math.ceil(TASK_CHARACTERS / screen.columns));
  return SECTIONS.flatMap(({ title, kinds }) => {
    const own = tasks.filter(({ kind }) => kinds.includes(kind));
    if (own.length === 0) return [];
    const clock = clockOf(own);
    const page = { order, width: screen.columns - MARGIN, most, clock };
    const intro = title === SHOOT ? wrap(walkSentence(own, clock, report), page.width) : [];
    const section = own.map((task) => ({
      label: task.kind === "again" ? "again" : task.kind === "add" ? `add ${task.shots}` : "",
      ...taskText(task, page),
    }));
    return [{ title, intro, tasks: section, cut: 0, screen }];
  });
}

function linesOf({ title, intro, tasks, cut, screen }: Section): string[] {
  const ink = title === SHOOT || title === "SET" ? screen.ink.red.bold : screen.ink.yellow.bold;
  const rest =
    cut === 0 ? [] : textLines(`and ${cut} more: --quiet has a line for each.`, screen, screen.ink.bold);
  const [first, ...others] = tasks;
  const start =
    intro.length > 0 || first === undefined
      ? [
          ...besideLabel(title, intro, screen, ink),
          ...(first ? besideLabel(first.label, first.lines, screen) : []),
        ]
      : besideLabel(title, first.lines, screen, ink);
  return ["", ...start, ...others.flatMap(({ label, lines }) => besideLabel(label, lines, screen)), ...rest];
}

/** Sections that fit: of the longest, what comes last is counted and not named. */
function cutTo(sections: readonly Section[], room: number, screen: Screen): Section[] {
  const cut = sections.map((section) => ({ ...section }));
  const height = (): number => cut.reduce((sum, section) => sum + linesOf(section).length, 0);
  while (height() > room) {
    const longest = cut.reduce((a, b) => (b.tasks.length > a.tasks.length ? b : a));
    if (longest.tasks.length < 2) break;
    longest.tasks = longest.tasks.slice(0, -1);
    longest.cut++;
    longest.screen = screen;
  }
  return cut;
}

/** What the places of these things to do have at 6 o'clock, where they agree. */
function clockOf(tasks: readonly Task[]): string | undefined {
  const clocks = new Set(tasks.flatMap(({ place }) => place?.sixOClock ?? []));
  return clocks.size === 1 ? [...clocks][0] : undefined;
}

function walkSentence(tasks: readonly Task[], clock: string | undefined, { facts }: Report): string {
  if (clock !== undefined) return `Clockwise seen from above, with ${visible(clock)} at 6 o'clock:`;
  if (tasks.some(({ place }) => place?.hour !== undefined)) return "Clockwise seen from above:";
  return facts.orderedBy === "capture time"
    ? "In the order they were taken:"
    : "By file name, since no capture times tell an order:";
}

// ---------------------------------------------------------------- one thing to do

/** Lines of one thing to do, and whether they name all of its photos. */
interface TaskText {
  readonly lines: readonly string[];
  readonly all: boolean;
}

interface Page {
  readonly order: ReadonlyMap<string, number>;
  readonly width: number;
  /** Lines a thing to do may take. */
  readonly most: number;
  /** What stands at 6 o'clock, where the section has said it. */
  readonly clock: string | undefined;
}

function taskText(task: Task, page: Page): TaskText {
  const { width, most } = page;
  const advice = task.advice.map(visible);
  const why = visible(task.reasons.join("; "));
  const told = (lines: string[]): TaskText => ({ lines, all: true });
  switch (task.kind) {
    case "set":
      return told(fitted([...(why === "" ? [] : [`${why}.`]), ...advice.flatMap(clauses)], width, most));
    case "know":
      return told([
        ...fitted(
          task.reasons.map((reason) => `${visible(reason)}.`),
          width,
          most,
        ),
        ...fitted(advice.flatMap(clauses), width, most + 1),
      ]);
    case "add":
      return told(addLines(task, why, page));
    case "again":
      return againText(task, why, page);
    case "out": {
      const more = advice.flatMap((text) => clauses(text).slice(1)).map(capital);
      return namedText(task, page, [`: ${why}. ${more.join(" ")}`.trimEnd(), `: ${why}.`]);
    }
    case "files":
    case "edit": {
      const first = advice.map((text) => clauses(text)[0] ?? "").join(" ");
      if (task.photos.length === 0)
        return told(
          firstFitting(
            [
              `${why}. ${advice.join(" ")}`,
              `${why}. ${first}`,
              // What comes behind the colon says how.
              advice.map((text) => clauses(text).slice(0, 2).join(" ")).join(" "),
              first,
            ],
            width,
            most,
          ),
        );
      return namedText(task, page, [
        `: ${why}. ${advice.join(" ")}`,
        `: ${why}. ${inEditor(first)}`,
        `: ${lowerCase(inEditor(first))}`,
      ]);
    }
  }
}

/** Names with the first of several texts behind them that there is room for; fewer names only where no text fits all. */
function namedText({ photos }: Task, { order, width, most }: Page, texts: readonly string[]): TaskText {
  const ways = waysToName(photos, order).flatMap(({ text, all }) =>
    texts.map((after) => ({ text: text + after, all })),
  );
  const found = ways.find(({ text }) => wrap(text, width).length <= most) ?? ways.at(-1)!;
  return { lines: fitted([found.text], width, most), all: found.all };
}

/** The heading says where one edits, and when. */
function inEditor(advice: string): string {
  return advice.replace(/ in a photo editor before the upload(?=\.)/, "").replace(/:$/, ".");
}

function addLines({ place, advice }: Task, why: string, { width, most, clock }: Page): string[] {
  const how = advice.flatMap((text) => clauses(visible(text)));
  if (place === undefined) return fitted([`${why}.`, ...how], width, most);
  const where = placeWords(place, clock);
  // How to hold the phone follows the colon.
  const holding = place.hour === undefined ? how : how.slice(1, 2).map(capital);
  return fitted([`${capital(where)}: ${why}.`, ...holding], width, most);
}

function againText(task: Task, why: string, page: Page): TaskText {
  const { width, most, clock, order } = page;
  const { place, reasons, photos } = task;
  const [names] = waysToName(photos, order) as [Names];
  const first = `: ${visible(reasons[0] ?? "")}.`;
  const above = `: ${why}.`;
  if (place === undefined) return namedText(task, page, [above, first]);
  const where = `${capital(placeWords(place, clock))}.`;
  const below = wrap(where, width);
  // Each in a line of its own where both fit: the eye finds names at the left.
  if (displayWidth(names.text + above) <= width && below.length < most)
    return { lines: [names.text + above, ...below], all: names.all };
  const alone = `${capital(placeWords({ ...place, between: [] }, clock))}.`;
  return namedText(task, page, [
    `${above} ${where}`,
    `${first} ${where}`,
    ...(place.hour === undefined ? [] : [`${above} ${alone}`, `${first} ${alone}`]),
    above,
  ]);
}

/** "at 10 o'clock, low down, between jug_010.jpg and jug_011.jpg" */
function placeWords({ hour, toHour, sixOClock, height, between }: Place, clock: string | undefined): string {
  const six = sixOClock === undefined || sixOClock === clock ? "" : ` (${visible(sixOClock)} at 6)`;
  const names = between.map(visible);
  return [
    ...(hour === undefined
      ? []
      : [toHour === undefined ? `at ${hour} o'clock${six}` : `from ${hour} to ${toHour} o'clock${six}`]),
    ...(height === undefined ? [] : [heightWords[height]]),
    ...(names.length === 2 ? [`between ${listed(names)}`] : names.map((name) => `beside ${name}`)),
  ].join(", ");
}

// ---------------------------------------------------------------- how

/** How to take the photos again, each way once: for a fault, or where one is put right in several ways, for its photos. */
function howLines({ tasks }: ToDo, report: Report, screen: Screen): string[] {
  const order = captureOrder(report.facts.photos);
  const findings = tasks.flatMap((task) => (task.kind === "again" ? task.findings : []));
  const ways = groupedBy(findings, ({ advice }) => advice);
  if (ways.size === 0) return [];
  const waysOf = groupedBy(findings, reasonOf);
  const width = screen.columns - MARGIN;
  const lines = [...ways].flatMap(([advice, own]) => {
    const reasons = [...new Set(own.map(reasonOf))];
    const files = [...new Set(own.flatMap(({ photos }) => photos))];
    const only = reasons.every((reason) => waysOf.get(reason)!.every((one) => one.advice === advice));
    const which = only ? capital(reasons.map(visible).join(", ")) : namesIn(files, order, width - 20);
    const way = visible(advice).replace(/^Take it again(?:: | )/, "");
    return fitted(clauses(`${which}: ${way}`), width, 2);
  });
  return besideLabel("how", lines, screen);
}

function namesIn(files: readonly string[], order: ReadonlyMap<string, number>, width: number): string {
  const ways = waysToName(files, order);
  return (ways.find(({ text }) => displayWidth(text) <= width) ?? ways.at(-1)!).text;
}

function groupedBy<Item>(items: readonly Item[], keyOf: (item: Item) => string): Map<string, Item[]> {
  const groups = new Map<string, Item[]>();
  for (const item of items) groups.set(keyOf(item), [...(groups.get(keyOf(item)) ?? []), item]);
  return groups;
}
