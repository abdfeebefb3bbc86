/** Plain text on a screen of fixed width. */
import stringWidth from "string-width";
import wrapAnsi from "wrap-ansi";

/** Columns a text takes on the screen. */
export { default as displayWidth } from "string-width";

export function padEnd(text: string, width: number): string {
  return text + " ".repeat(Math.max(0, width - stringWidth(text)));
}

const ELLIPSIS = "...";

/** The text in at most `width` columns, the middle left out where it is longer: a name's end tells most. */
export function shorten(text: string, width: number): string {
  if (stringWidth(text) <= width) return text;
  const graphemes = Array.from(new Intl.Segmenter().segment(text), ({ segment }) => segment);
  const available = width - ELLIPSIS.length;
  const head = fitting(graphemes, Math.floor(available / 3));
  const tail = fitting(graphemes.toReversed(), available - stringWidth(head.join("")));
  return head.join("") + ELLIPSIS + tail.toReversed().join("");
}

/** As many of the first graphemes as `width` columns hold. */
function fitting(graphemes: readonly string[], width: number): string[] {
  const taken: string[] = [];
  let used = 0;
  for (const grapheme of graphemes) {
    used += stringWidth(grapheme);
    if (used > width) break;
    taken.push(grapheme);
  }
  return taken;
}

/** Lines of at most `width` columns, broken between words; only a word longer than a line is cut. None for no text. */
export function wrap(text: string, width: number): string[] {
  return text.trim() === "" ? [] : wrapAnsi(text, width, { hard: true }).split("\n");
}
