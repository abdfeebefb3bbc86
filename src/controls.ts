/**
 * What must not come through from a file's name or from what it says of itself, since it can steer a terminal or make a
 * name read as another: C0 controls, DEL and C1, the marks that turn the reading direction, line and paragraph
 * separators, what shows as nothing (zero-width spaces and joiners, soft hyphens, variation selectors, tags), and halves of
 * surrogate pairs. For `replace` alone: a regular expression with "g"
 * remembers where `test` ended.
 */
export const CONTROLS =
  /[\u0000-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]|\p{Default_Ignorable_Code_Point}|\p{Cs}/gu;

const NAMED: Readonly<Record<string, string>> = { "\n": "\\n", "\r": "\\r", "\t": "\\t" };

/** Text from a file name or from EXIF with every control character spelt out: an escape reads \x1b. */
export function visible(text: string): string {
  return text.replace(CONTROLS, (character) => {
    const code = character.codePointAt(0) ?? 0;
    const hex = code.toString(16);
    if (code > 0xffff) return `\\u{${hex}}`;
    return NAMED[character] ?? (code < 256 ? `\\x${hex.padStart(2, "0")}` : `\\u${hex.padStart(4, "0")}`);
  });
}
