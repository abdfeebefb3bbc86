import { visible } from "../../controls.js";

/** Markup that may go into the page as it is. */
export class Html {
  readonly text: string;

  constructor(text: string) {
    this.text = text;
  }
}

export type Part = string | number | Html | readonly Part[] | undefined | false;

const ENTITIES: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};

/** Text that can be nothing but text: no markup, no quote that ends an attribute, no control characters. */
export function escaped(text: string): string {
  return visible(text).replace(/[&<>"']/g, (character) => ENTITIES[character]!);
}

/** Markup with text set in: whatever is no {@link Html} itself is escaped; undefined and false are left out. */
export function html(strings: TemplateStringsArray, ...parts: readonly Part[]): Html {
  return new Html(strings.reduce((text, string, k) => text + textOf(parts[k - 1]) + string));
}

function textOf(part: Part): string {
  if (part === undefined || part === false) return "";
  if (part instanceof Html) return part.text;
  if (typeof part === "number") return String(part);
  if (typeof part === "string") return escaped(part);
  return part.map(textOf).join("");
}

/** Data for a script element: JSON in which no name can end that element, and no control character comes through. */
export function embeddedJson(value: unknown): Html {
  const text = JSON.stringify(value, (_, item) => (typeof item === "string" ? visible(item) : item));
  return new Html(text.replace(/</g, "\\u003c"));
}
