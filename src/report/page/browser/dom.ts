/** @throws Error where the page lacks it */
export function byId<E extends HTMLElement = HTMLElement>(id: string): E {
  const found = document.getElementById(id);
  if (found === null) throw new Error(`no element ${id}`);
  return found as E;
}

type Child = Node | string;

/** An element with attributes and children. Strings become text, never markup. */
export function element(
  name: string,
  attributes: Readonly<Record<string, string>> = {},
  ...children: Child[]
): HTMLElement {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

export function drawn(name: string, attributes: Readonly<Record<string, string | number>>): SVGElement {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  return made;
}

/** A picture that lies in the page as text; undefined where it is not there. */
export function storedPicture(id: string): string | undefined {
  const text = document.getElementById(id)?.textContent;
  return text ? `data:image/jpeg;base64,${text}` : undefined;
}
