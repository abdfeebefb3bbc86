import { photoList } from "./photo-list.js";
import { displayWidth, wrap } from "./text.js";
import { count } from "./wording.js";

/**
 * A sentence in few lines: as many of its parts as there is room for, the first always, cut where it alone is too long.
 *
 * @param parts what matters most first; each ends as it should
 * @param width columns there are
 * @param most lines there are, 1 or more
 */
export function fitted(parts: readonly string[], width: number, most: number): string[] {
  let lines: string[] = [];
  let text = "";
  for (const part of parts) {
    const longer = text === "" ? part : `${text} ${part}`;
    const wrapped = wrap(longer, width);
    if (wrapped.length > most && text !== "") break;
    [text, lines] = [longer, wrapped];
  }
  // Where it breaks off at a colon, what was to follow it is not there.
  lines = lines.map((line, i) => (i === lines.length - 1 ? line.replace(/[:;]$/, ".") : line));
  if (lines.length <= most) return lines;
  const rest = lines.slice(most - 1).join(" ");
  return [...lines.slice(0, most - 1), cutAtWord(rest, width)];
}

/** The beginning of a text, "..." where it goes on. */
function cutAtWord(text: string, width: number): string {
  if (displayWidth(text) <= width) return text;
  const [first = ""] = wrap(text, width - 3);
  return `${first.trimEnd()}...`;
}

/** The clauses of a text, each as a sentence may end with it. */
export function clauses(text: string): string[] {
  return text.split(/(?<=[.!?;:]) /);
}

/** The first of some sentences that takes no more lines than there are; the last, cut, where none does. */
export function firstFitting(sentences: readonly string[], width: number, most: number): string[] {
  const found = sentences.find((one) => wrap(one, width).length <= most);
  return fitted([found ?? sentences.at(-1) ?? ""], width, most);
}

/** Names of photos, and whether all are told. */
export interface Names {
  readonly text: string;
  readonly all: boolean;
}

/** Names of photos by how many are told, most first: each a way to name them where there is less room. */
export function waysToName(files: readonly string[], order: ReadonlyMap<string, number>): readonly Names[] {
  if (files.length === 0) return [{ text: "", all: true }];
  const full = photoList(files, order, MOST_PIECES);
  const ways = [full];
  for (let pieces = MOST_PIECES - 1; pieces > 1; pieces--) {
    const shorter = photoList(files, order, pieces);
    if (shorter !== ways.at(-1)) ways.push(shorter);
  }
  if (files.length > 1) ways.push(count(files.length, "photo"));
  return ways.map((text, i) => ({ text, all: i === 0 && !/ and \d+ more$/.test(text) }));
}

/** More names than this are no longer read one by one. */
const MOST_PIECES = 12;
