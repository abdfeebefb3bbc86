/** Plain text on a fixed-width screen: widths, wrapping, and nothing that could steer a terminal. */
import { CONTROLS } from "../controls.js";

const named: Readonly<Record<string, string>> = { "\n": "\\n", "\r": "\\r", "\t": "\\t" };

/** Text from a file name or from EXIF with every control character spelt out: an escape reads \x1b. */
export function visible(text: string): string {
  return text.replace(CONTROLS, (character) => {
    const code = character.charCodeAt(0);
    const hex = code.toString(16);
    return named[character] ?? (code < 256 ? `\\x${hex.padStart(2, "0")}` : `\\u${hex.padStart(4, "0")}`);
  });
}

const zeroWidth = /^[\p{Mn}\p{Me}\p{Cf}]$/u;
const wide =
  /^[\u1100-\u115f\u2e80-\u303e\u3041-\u33ff\u3400-\u4dbf\u4e00-\u9fff\ua000-\ua4cf\ua960-\ua97f\uac00-\ud7a3\uf900-\ufaff\ufe30-\ufe6f\uff00-\uff60\uffe0-\uffe6\u{1f300}-\u{1f64f}\u{1f680}-\u{1f6ff}\u{1f900}-\u{1faff}\u{20000}-\u{3fffd}]$/u;

/** Columns a text takes on the screen: 0 for a combining mark, 2 for a wide character, else 1. */
export function displayWidth(text: string): number {
  let width = 0;
  for (const character of text) width += characterWidth(character);
  return width;
}

function characterWidth(character: string): number {
  if (character < "\u0300") return 1;
  if (zeroWidth.test(character)) return 0;
  return wide.test(character) ? 2 : 1;
}

export function padEnd(text: string, width: number): string {
  return text + " ".repeat(Math.max(0, width - displayWidth(text)));
}

export function padStart(text: string, width: number): string {
  return " ".repeat(Math.max(0, width - displayWidth(text))) + text;
}

/** The text in at most `width` columns, the middle left out where it is longer: a name's end tells most. */
export function shorten(text: string, width: number): string {
  if (displayWidth(text) <= width) return text;
  const gap = "...";
  const characters = [...text];
  const room = width - gap.length;
  const head = takeWidth(characters, Math.floor(room / 3));
  const tail = takeWidth(characters.toReversed(), room - displayWidth(head.join("")));
  return head.join("") + gap + tail.toReversed().join("");
}

function takeWidth(characters: readonly string[], width: number): string[] {
  const taken: string[] = [];
  let used = 0;
  for (const character of characters) {
    used += characterWidth(character);
    if (used > width) break;
    taken.push(character);
  }
  return taken;
}

/** Lines of at most `width` columns, broken between words; only a word longer than a line is cut. */
export function wrap(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(" ").filter((part) => part !== "")) {
    const joined = line === "" ? word : `${line} ${word}`;
    if (displayWidth(joined) <= width) {
      line = joined;
      continue;
    }
    if (line !== "") lines.push(line);
    line = word;
    while (displayWidth(line) > width) {
      const characters = [...line];
      const head = takeWidth(characters, width);
      lines.push(head.join(""));
      line = characters.slice(head.length).join("");
    }
  }
  if (line !== "") lines.push(line);
  return lines;
}
