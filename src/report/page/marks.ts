import { type Html, html } from "./html.js";

/**
 * The marks as a grease pencil draws them, each by three hands; a sign without a number is drawn small, beside words.
 * A ring with an arrow: take again. A cross: move out. A wave: edit. A plus: add.
 */
const STROKES: Readonly<Record<string, readonly (readonly string[])[]>> = {
  again: [
    ["M22 58C12 26 44 6 70 13 98 22 98 70 70 86 44 99 14 84 12 54", "M2 66 12 50 26 64"],
    ["M16 60C10 22 50 2 76 16 100 32 92 76 64 88 38 96 10 82 14 50", "M3 62 14 46 28 60"],
    ["M26 62C8 34 36 4 66 10 96 18 102 60 76 82 50 100 12 88 12 56", "M1 68 12 52 25 67"],
  ],
  out: [
    ["M12 14C38 36 62 60 90 88", "M88 12C66 34 38 62 10 86"],
    ["M10 18C36 34 66 64 88 86", "M90 16C62 32 40 66 14 90"],
    ["M14 10C34 38 64 58 86 90", "M86 10C68 38 34 60 12 88"],
  ],
  edit: [
    ["M8 84C16 70 24 96 34 82 44 70 52 96 62 83 70 72 80 92 92 80"],
    ["M6 80C14 94 24 70 34 84 42 94 54 70 62 82 72 96 82 74 94 84"],
    ["M8 86C18 72 26 92 36 80 46 70 52 94 64 82 74 70 82 94 92 78"],
  ],
  add: [["M50 12C51 40 49 64 51 90", "M10 52C38 49 62 52 90 49"]],
};

/** To be used by their names: "again0" to "again2", and "again" alone. */
export function markSymbols(): Html {
  const symbol = (id: string, strokes: readonly string[]) =>
    html`<symbol id="${id}" viewBox="0 0 100 100">${strokes.map((d) => html`<path d="${d}"/>`)}</symbol>`;
  return html`<svg class="symbols" width="0" height="0" aria-hidden="true">${Object.entries(STROKES).map(
    ([name, hands]) => [
      symbol(name, hands[0]!),
      ...hands.map((strokes, hand) => symbol(`${name}${hand}`, strokes)),
    ],
  )}</svg>`;
}
