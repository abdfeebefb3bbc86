import { byId } from "./dom.js";

/** Lets all that stands for one photo light up together, and draws links where they are asked for. */
export function startLight(): void {
  const all = new Map<string, Element[]>();
  for (const one of document.querySelectorAll("[data-photo]")) {
    const place = one.getAttribute("data-photo")!;
    all.set(place, [...(all.get(place) ?? []), one]);
  }
  let lit: string | null = null;
  const light = (event: Event) => {
    const target = event.target instanceof Element ? event.target.closest("[data-photo]") : null;
    const place = target?.getAttribute("data-photo") ?? null;
    if (place === lit) return;
    for (const one of all.get(lit ?? "") ?? []) one.classList.remove("lit");
    for (const one of all.get(place ?? "") ?? []) one.classList.add("lit");
    lit = place;
  };
  document.addEventListener("pointerover", light);
  document.addEventListener("focusin", light);

  const links = document.getElementById("links") as HTMLInputElement | null;
  const show = () => byId("around").closest("section")?.classList.toggle("linked", links?.checked);
  links?.addEventListener("change", show);
  show();
}
