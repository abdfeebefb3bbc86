import type { Finding, Severity } from "../types/judgement.js";
import type { Report } from "../types/report.js";
import { captureOrder } from "./photo-list.js";
import { byWalk, type Place, Places } from "./place.js";
import { withUnit } from "./wording.js";

/**
 * "set": what to do about the set as a whole. "know": what would make known what could not be judged. "files": copies to
 * make before anything is shot. "again", "add": photos to take. "out": to move out of the folder. "edit": in a photo editor.
 */
export type TaskKind = "set" | "know" | "files" | "again" | "add" | "out" | "edit";

/** One thing to do: with one photo, with several for the same reason, or at one place. */
export interface Task {
  readonly kind: TaskKind;
  /** The files it is done with, in the order one walks ("again") or of capture; of "add" and "set" none. */
  readonly photos: readonly string[];
  /** Photos to take. */
  readonly shots: number;
  /** Where to stand, where that is known. */
  readonly place?: Place;
  /** What is wrong, each a clause without the photo's name and without a full stop: "burnt out". */
  readonly reasons: readonly string[];
  /** What to do, sentences. */
  readonly advice: readonly string[];
  /** The findings it comes from; none of what could not be judged. */
  readonly findings: readonly Finding[];
}

/** All there is to do, and how much there is to read besides. */
export interface ToDo {
  /** In the order one does them: the whole set, files, one walk with the camera, the folder, the editor. */
  readonly tasks: readonly Task[];
  /** Notes that nobody has to act on. */
  readonly notes: number;
  /** Checks that could not judge some photos, or the set. */
  readonly unjudgedChecks: number;
}

/** What a report asks its reader to do. Pure: the same report gives the same list. */
export function toDo(report: Report): ToDo {
  const { findings, skipped, verdict, requirements, whatItIs } = report.judgement;
  const places = new Places(report);
  const order = captureOrder(report.facts.photos);
  const acting = findings.filter(isActing);
  const of = (...kinds: readonly TaskKind[]): readonly Acting[] =>
    acting.filter((finding) => kinds.includes(kindOf(finding, report)));
  const toKnow = verdict === "cannot-tell" ? requirements.filter(({ reason }) => reason !== undefined) : [];
  return {
    tasks: [
      ...of("set").map((finding) => setTask(finding, finding.check === whatItIs?.check)),
      ...merged(
        toKnow.map(({ reason = "", wayOut }) => ({
          ...taskOf("know", []),
          reasons: [clauseOf(reason)],
          advice: wayOut === undefined ? [] : [wayOut],
        })),
        byInstruction,
      ),
      ...merged(
        of("files").map((finding) => fileTask(finding)),
        byInstruction,
      ),
      ...walk(of("again"), of("add"), places, order),
      ...merged(photoTasks("out", of("out"), order), byReason),
      ...merged(
        of("edit").map((finding) => editTask(finding)),
        byInstruction,
      ),
    ],
    notes: findings.length - acting.length,
    unjudgedChecks: new Set(skipped.map(({ check }) => check)).size,
  };
}

/** Checks that speak of files, not of what they show: none of them asks for a camera before copying has failed. */
const OF_FILES: ReadonlySet<string> = new Set([
  "unreadable-photo",
  "raw-preview",
  "unread-kind",
  "photos-inside",
]);

/** Whether a finding is about files as such, whatever they show. */
export function isOfFiles({ check }: Finding): boolean {
  return OF_FILES.has(check);
}

/** One that asks for something. */
type Acting = Finding & { readonly severity: Exclude<Severity, "note"> };

function isActing(finding: Finding): finding is Acting {
  return finding.severity !== "note";
}

const BY_VERDICT: Readonly<Record<Acting["severity"], TaskKind>> = {
  reshoot: "again",
  "leave-out": "out",
  edit: "edit",
};

function kindOf(finding: Acting, { judgement }: Report): TaskKind {
  const { about, severity, photos, toAdd = 0 } = finding;
  if (isOfFiles(finding)) return "files";
  const own = about === "photo" && photos.length === 1 ? judgement.photoVerdicts.get(photos[0]!) : undefined;
  const kind = BY_VERDICT[own === undefined || own === "pass" ? severity : own];
  if (kind !== "again" || about === "photo") return kind;
  return about === "between" || toAdd > 0 ? "add" : "set";
}

function taskOf(kind: TaskKind, findings: readonly Finding[]): Task {
  return {
    kind,
    photos: unique(findings.flatMap(({ photos }) => photos)),
    shots: 0,
    reasons: unique(findings.map(reasonOf)),
    advice: unique(findings.map(({ advice }) => advice)),
    findings,
  };
}

/** @param told whether the verdict says already what is wrong */
function setTask(finding: Finding, told: boolean): Task {
  return { ...taskOf("set", [finding]), photos: [], ...(told && { reasons: [] }) };
}

function fileTask(finding: Finding): Task {
  // What is wrong with the file stands behind the colon, what follows from it behind the comma.
  const reason = withoutName(finding)
    .replace(/^cannot be read: /, "")
    .split(", so ", 1)[0]!;
  return { ...taskOf("files", [finding]), reasons: [clauseOf(reason)] };
}

function editTask(finding: Finding): Task {
  return taskOf("edit", [finding]);
}

/** What is to be taken again and added, as one walk. */
function walk(
  again: readonly Finding[],
  add: readonly Finding[],
  places: Places,
  order: ReadonlyMap<string, number>,
): Task[] {
  const retakes = photoTasks("again", again, order).map((task) => ({
    ...task,
    shots: task.photos.length,
    ...placed(places.ofPhoto(task.photos[0]!)),
  }));
  const additions = add.map((finding) => {
    const place = finding.about === "between" ? places.ofSpace(finding) : undefined;
    const { measured } = finding;
    return {
      ...taskOf("add", [finding]),
      photos: [],
      shots: finding.toAdd ?? 0,
      // The place says the rest of the sentence.
      ...(place &&
        measured && {
          reasons: [`a gap of ${withUnit({ ...measured, value: Math.round(measured.value) })}`],
        }),
      ...placed(place ?? (finding.about === "between" ? besides(finding) : undefined)),
    };
  });
  const walked = [...retakes, ...additions].toSorted((a, b) => byWalk(a.place, b.place));
  return merged(walked, ({ kind, place, reasons, findings }) =>
    kind === "add"
      ? findings
      : [reasons, place?.height, place?.between, place === undefined ? findings[0]!.photos : undefined],
  );
}

function placed(place: Place | undefined): { place?: Place } {
  return place === undefined ? {} : { place };
}

/** Between two photos of which no direction is known. */
function besides({ photos }: Finding): Place {
  return { between: photos, walk: [Number.POSITIVE_INFINITY, 0, 0] };
}

/** One task a photo, with all that is wrong with it, in capture order. */
function photoTasks(
  kind: TaskKind,
  findings: readonly Finding[],
  order: ReadonlyMap<string, number>,
): Task[] {
  const byPhoto = new Map<string, Finding[]>();
  const several: Finding[] = [];
  for (const finding of findings) {
    if (finding.photos.length === 1) {
      const [file] = finding.photos as [string];
      byPhoto.set(file, [...(byPhoto.get(file) ?? []), finding]);
    } else several.push(finding);
  }
  const place = ({ photos }: Task): number => order.get(photos[0] ?? "") ?? order.size;
  return [...several.map((one) => [one]), ...byPhoto.values()]
    .map((own) => taskOf(kind, own))
    .sort((a, b) => place(a) - place(b));
}

const byReason = ({ reasons }: Task): unknown => reasons;
const byInstruction = ({ advice }: Task): unknown => advice;

/** Tasks with equal keys as one, where the first of them stands. */
function merged(tasks: readonly Task[], keyOf: (task: Task) => unknown): Task[] {
  const groups = new Map<string, Task>();
  for (const task of tasks) {
    const key = JSON.stringify(keyOf(task));
    const known = groups.get(key);
    groups.set(key, known === undefined ? task : joined(known, task));
  }
  return [...groups.values()];
}

function joined(one: Task, other: Task): Task {
  return {
    ...one,
    photos: unique([...one.photos, ...other.photos]),
    shots: one.shots + other.shots,
    ...(one.place && other.place && { place: spanning(one.place, other.place) }),
    reasons: unique([...one.reasons, ...other.reasons]),
    advice: commonAdvice(one.advice, other.advice),
    findings: [...one.findings, ...other.findings],
  };
}

/** From the one to the other, the way clockwise that is not the longer. */
function spanning(one: Place, other: Place): Place {
  const { hour } = one;
  if (hour === undefined || other.hour === undefined || other.hour === hour) return one;
  const ahead = (other.walk[2] - one.walk[2] + 360) % 360;
  return ahead <= 180
    ? { ...one, toHour: other.hour }
    : { ...one, hour: other.hour, toHour: one.toHour ?? hour };
}

/** What both say; where that is nothing, all that either says. */
function commonAdvice(one: readonly string[], other: readonly string[]): string[] {
  const sentences = (advice: readonly string[]): string[] =>
    advice.flatMap((text) => text.split(/(?<=[.!?]) /));
  const said = new Set(sentences(other));
  const both = sentences(one).filter((sentence) => said.has(sentence));
  return both.length > 0 ? [both.join(" ")] : unique([...one, ...other]);
}

/** "burnt out" of "jug_030.jpg is burnt out: 93 % of the subject is so bright that no detail is left." */
export function reasonOf(finding: Finding): string {
  return clauseOf(withoutName(finding).split(": ", 1)[0]!);
}

function withoutName({ photos, message }: Finding): string {
  const [file] = photos;
  const names = photos.length === 1 && message.startsWith(`${file} `);
  if (names) return message.slice(file!.length + 1).replace(/^is /, "");
  return message.replace(/^These photos are (?=\w+er )/, "");
}

function clauseOf(sentence: string): string {
  return sentence.replace(/\.$/, "");
}

function unique<Value>(values: readonly Value[]): Value[] {
  return [...new Set(values)];
}
