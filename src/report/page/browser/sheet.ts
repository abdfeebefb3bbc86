import { byId } from "./dom.js";

export interface Sheet {
  /** Photos that the filter shows, in order. */
  shown(): readonly number[];
  /** Moves the focus to a photo's frame. */
  focus(place: number): void;
}

/** Filter, arrow keys and small pictures of the contact sheet. */
export function startSheet(): Sheet {
  const frames = [...document.querySelectorAll<HTMLElement>(".sheet > .frame")];
  const buttons = frames.map((frame) => frame.querySelector("button")!);
  const shown = () => frames.flatMap((frame, place) => (frame.hidden ? [] : [place]));
  const count = byId("shown");
  let current = 0;

  function settle(place: number): void {
    buttons[current]?.setAttribute("tabindex", "-1");
    current = place;
    buttons[current]?.setAttribute("tabindex", "0");
  }

  function show(verdict: string): void {
    for (const frame of frames) frame.hidden = verdict !== "all" && frame.dataset.verdict !== verdict;
    const now = shown();
    count.textContent =
      verdict === "all" ? "" : now.length === 1 ? "1 photo is shown." : `${now.length} photos are shown.`;
    if (now.length > 0 && !now.includes(current)) settle(now[0]!);
  }

  for (const choice of document.querySelectorAll<HTMLInputElement>("input[name=filter]"))
    choice.addEventListener("change", () => show(choice.value));
  // A browser may remember what was chosen when the page was open last.
  show(document.querySelector<HTMLInputElement>("input[name=filter]:checked")?.value ?? "all");

  document.querySelector(".sheet")?.addEventListener("keydown", (event) => {
    const { key } = event as KeyboardEvent;
    const now = shown();
    const at = now.indexOf(current);
    const steps: Readonly<Record<string, number>> = {
      ArrowLeft: at - 1,
      ArrowRight: at + 1,
      ArrowUp: at - columns(now),
      ArrowDown: at + columns(now),
      Home: 0,
      End: now.length - 1,
    };
    const next = steps[key];
    if (next === undefined) return;
    event.preventDefault();
    focus(now[Math.min(now.length - 1, Math.max(0, next))]!);
  });

  /** Frames in a row. */
  function columns(now: readonly number[]): number {
    const top = frames[now[0]!]!.offsetTop;
    const first = now.findIndex((place) => frames[place]!.offsetTop !== top);
    return first === -1 ? now.length : first;
  }

  function focus(place: number): void {
    settle(place);
    buttons[place]?.focus();
  }

  for (const small of document.querySelectorAll<HTMLImageElement>("img[data-thumb]")) {
    const source = frames[Number(small.dataset.thumb)]?.querySelector("img")?.src;
    if (source) small.src = source;
  }
  return { shown, focus };
}
