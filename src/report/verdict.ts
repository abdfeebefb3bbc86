import { visible } from "../controls.js";
import type { Finding, SetVerdict } from "../types/judgement.js";
import type { Report } from "../types/report.js";
import { type Task, type ToDo, toDo } from "./to-do.js";
import { capital, count, listed, lowerCase } from "./wording.js";

/** The verdict in words, for every renderer. Control characters of names are spelt out. */
export interface VerdictWords {
  /** "RESHOOT" */
  readonly word: string;
  /** What the set is, where that comes first: "The photos show one side only: ..." */
  readonly whatItIs?: string;
  /** "stoneware-jug is not ready to upload." */
  readonly ready: string;
  /** "Take 4 photos again, add 2, move out 2 and edit 1." */
  readonly tasks: string;
  /** "49 photos, 41 of them good as they are." */
  readonly counted: string;
  /** A word of care, where someone will be back among the lamps. */
  readonly caution?: string;
}

/** @param todo the report's own list, where it is at hand */
export function verdictWords(report: Report, todo: ToDo = toDo(report)): VerdictWords {
  const { verdict, whatItIs } = report.judgement;
  return {
    word: WORDS[verdict],
    ...(whatItIs && { whatItIs: visible(whatItIs.message) }),
    ready: readySentence(report),
    tasks: tasksSentence(report, todo),
    counted: countSentence(report),
    ...(shootsAgain(report, todo) && { caution: CAUTION }),
  };
}

const WORDS: Readonly<Record<SetVerdict, string>> = {
  pass: "PASS",
  tidy: "TIDY",
  reshoot: "RESHOOT",
  "cannot-tell": "CANNOT TELL",
};

function readySentence({ facts, judgement, counts }: Report): string {
  const folder = visible(facts.folder);
  if (judgement.verdict === "cannot-tell") return `It cannot be told whether ${folder} is ready to upload.`;
  if (judgement.verdict === "tidy")
    return `${folder} is not ready to upload, but there is nothing to shoot${counts.leaveOut > 0 ? ": move out what the list names" : ""}.`;
  if (judgement.verdict !== "pass") return `${folder} is not ready to upload.`;
  const edits = counts.edit > 0 || editsRun(judgement);
  return `${folder} is ready to upload${edits ? ", once the photos below are edited" : ""}.`;
}

/** Whether photos of which none is at fault by itself are to be edited: from where the light changed, say. */
function editsRun({ findings }: Report["judgement"]): boolean {
  return findings.some(({ about, severity }) => about !== "photo" && severity === "edit");
}

/** Whether someone will be back among the lamps; files to copy, or in folders inside, ask for no camera. */
function shootsAgain({ judgement }: Report, { tasks }: ToDo): boolean {
  const { photoVerdicts, anew = false } = judgement;
  const ofPhotos = ({ photos }: Finding): boolean =>
    photos.length > 0 && photos.every((file) => photoVerdicts.has(file));
  return (
    anew ||
    tasks.some(
      ({ kind, findings }) =>
        kind === "again" || kind === "add" || (kind === "set" && findings.some(ofPhotos)),
    )
  );
}

const CAUTION = "Careful: lamps get hot; look behind you before you step back.";

/** Whether the number to add is what the whole set lacks (too few photos), which is the least, not what places ask for. */
function isLeast(findings: readonly Finding[], toAdd: number): boolean {
  return findings.some(
    ({ about, photos, toAdd: own }) => about === "set" && photos.length === 0 && own === toAdd,
  );
}

/** "Walk on around the back. Copy 1 file again, take 4 photos again, add 2, move out 1 and edit 1." */
function tasksSentence({ judgement, counts }: Report, { tasks: all }: ToDo): string {
  const { toAdd, leaveOut, edit } = counts;
  const { findings, anew, verdict } = judgement;
  // What single photos lack is of no use to know then.
  if (anew) return "Take the whole set again.";
  const files = all.filter(({ kind }) => kind === "files");
  const copied = files.every((task) => task.findings.every(({ check }) => COPIED.has(check)));
  const again = numberOf(all.filter(({ kind }) => kind === "again"));
  const parts = [
    ...(verdict === "cannot-tell" ? ["make known what could not be judged"] : []),
    ...(numberOf(files) > 0
      ? [copied ? `copy ${count(numberOf(files), "file")} again` : `see to ${count(numberOf(files), "file")}`]
      : []),
    ...(
      [
        ["take", again, " again"],
        [isLeast(findings, toAdd) ? "add at least" : "add", toAdd, ""],
        ["move out", leaveOut, ""],
        ["edit", edit, ""],
      ] as const
    )
      .filter(([, number]) => number > 0)
      // The first says what is counted, the others need only the number.
      .map(([verb, number, after], i) => `${verb} ${i === 0 ? count(number, "photo") : number}${after}`),
  ];
  const listing = parts.length === 0 ? [] : [`${capital(listed(parts))}.`];
  const ofSet = all.filter(({ kind }) => kind === "set").slice(0, 1);
  // What is edited throughout comes last: photos that are taken again or moved out need no editing.
  const edited = all.filter(({ kind, photos }) => kind === "edit" && photos.length === 0).slice(0, 1);
  const before = [...ofSet.flatMap(firstSentence), ...listing];
  const after = edited.flatMap(firstSentence);
  const sentences = [
    ...before,
    ...(before.length === 0 ? after : after.map((text) => `Then ${lowerCase(text.replace(/: .*$/, "."))}`)),
    ...(before.length + after.length === 0 ? all.slice(0, 1).flatMap(firstSentence) : []),
  ];
  return sentences.length === 0 ? "Nothing to do." : sentences.join(" ");
}

function firstSentence({ kind, advice, findings }: Task): string[] {
  // What is edited from where the light changed on is a run of photos, of which none is at fault.
  if (kind === "edit" && findings.every(({ about }) => about === "between")) return ["Edit a run of photos."];
  const [sentence] = advice[0]?.split(/(?<=[.!?;]) /) ?? [];
  return sentence === undefined ? [] : [visible(sentence.replace(/;$/, "."))];
}

/** Checks whose files may be whole where they were copied from. */
const COPIED: ReadonlySet<string> = new Set(["unreadable-photo", "raw-preview"]);

function numberOf(tasks: ToDo["tasks"]): number {
  return new Set(tasks.flatMap(({ photos }) => photos)).size;
}

function countSentence({ facts, counts, judgement }: Report): string {
  const judged = `${count(counts.photos, "photo")}, ${goodOnes(counts, judgement.anew ?? false)}.`;
  const unread = facts.unsupported.length;
  const inside = facts.leftAlone?.photosInside ?? 0;
  return [
    judged,
    ...(unread === 0
      ? []
      : [`${count(unread, "raw file holds", "raw files hold")} no picture that can be read here.`]),
    // A set that was copied in parts is judged by one part: no note to be looked for.
    ...(inside === 0
      ? []
      : [
          `${count(inside, "photo")} in folders inside this one ${inside === 1 ? "was" : "were"} not looked at: --recursive adds ${inside === 1 ? "it" : "them"}.`,
        ]),
  ].join(" ");
}

/** @param anew in a set that is to be taken anew, no photo is of use as it is */
function goodOnes({ photos, pass }: Report["counts"], anew: boolean): string {
  const [one, many] = anew ? ["good by itself", "good by themselves"] : ["good as it is", "good as they are"];
  if (photos === 1) return pass === 1 ? one : `not ${one}`;
  if (pass === 1) return `1 of them ${one}`;
  return `${pass === 0 ? "none" : pass === photos ? "all" : pass} of them ${many}`;
}
