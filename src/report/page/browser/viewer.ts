import type { LayerName, ViewedPhoto } from "../viewed-photo.js";
import { byId, element, storedPicture } from "./dom.js";
import { drawLayers, layersOf } from "./layers.js";
import { rose } from "./rose.js";
import type { Sheet } from "./sheet.js";

/** How far a finger has to go sideways to ask for the next photo, px. */
const SWIPE_PX = 60;

/** Shows one photo large, with what was measured of it. */
export class Viewer {
  readonly #photos: readonly ViewedPhoto[];
  readonly #sheet: Sheet;
  readonly #dialog = byId<HTMLDialogElement>("viewer");
  /** Layers that were asked for, and those that are drawn now. */
  readonly #asked = new Set<LayerName>();
  #on = new Set<LayerName>();
  #place = 0;

  constructor(photos: readonly ViewedPhoto[], sheet: Sheet) {
    this.#photos = photos;
    this.#sheet = sheet;
    byId("before").addEventListener("click", () => this.#step(-1));
    byId("after").addEventListener("click", () => this.#step(1));
    byId("close").addEventListener("click", () => this.#close());
    this.#dialog.addEventListener("cancel", (event) => {
      event.preventDefault();
      this.#close();
    });
    this.#dialog.addEventListener("keydown", (event) => {
      if (event.target instanceof HTMLInputElement) return;
      const way = event.key === "ArrowLeft" ? -1 : event.key === "ArrowRight" ? 1 : 0;
      if (way === 0) return;
      event.preventDefault();
      this.#step(way);
    });
    this.#followFingers();
  }

  open(place: number): void {
    const photo = this.#photos[place];
    if (photo === undefined) return;
    this.#place = place;
    this.#on = new Set([...this.#asked, ...photo.layers]);
    this.#fill(photo);
    if (!this.#dialog.open) this.#dialog.showModal();
    this.#dialog.scrollTop = 0;
    byId("seen").focus({ preventScroll: true });
  }

  /** Back to the frame of the photo that was seen last. */
  #close(): void {
    this.#dialog.close();
    this.#sheet.focus(this.#place);
  }

  /** To the next photo that the sheet shows; all of them where it does not show this one. */
  #step(way: -1 | 1): void {
    const shown = this.#sheet.shown();
    const among = shown.includes(this.#place) ? shown : [...this.#photos.keys()];
    const next = among[among.indexOf(this.#place) + way];
    if (next !== undefined) this.open(next);
  }

  #followFingers(): void {
    const stage = this.#dialog.querySelector(".stage")!;
    let start: Touch | undefined;
    stage.addEventListener(
      "touchstart",
      (event) => {
        const { touches } = event as TouchEvent;
        start = touches.length === 1 ? touches[0] : undefined;
      },
      { passive: true },
    );
    stage.addEventListener("touchend", (event) => {
      const end = (event as TouchEvent).changedTouches[0];
      if (start === undefined || end === undefined) return;
      const [across, down] = [end.clientX - start.clientX, end.clientY - start.clientY];
      if (Math.abs(across) > SWIPE_PX && Math.abs(across) > 2 * Math.abs(down))
        this.#step(across < 0 ? 1 : -1);
    });
  }

  #fill(photo: ViewedPhoto): void {
    const place = this.#place;
    byId("seen").textContent = photo.file;
    const deed = byId("seen-deed");
    deed.textContent = `${place + 1} of ${this.#photos.length}: ${photo.deed}`;
    deed.className = photo.mark;
    byId<HTMLButtonElement>("before").disabled = place === 0;
    byId<HTMLButtonElement>("after").disabled = place === this.#photos.length - 1;
    const large = byId<HTMLImageElement>("large");
    const source = storedPicture(`large-${place}`);
    large.hidden = source === undefined;
    byId("gone").hidden = source !== undefined;
    if (source === undefined) large.removeAttribute("src");
    else large.src = source;
    large.alt = `${photo.file}, large`;
    large.width = photo.widthPx;
    large.height = photo.heightPx;
    this.#showLayers(photo);
    byId("told").replaceChildren(...this.#told(photo));
  }

  #showLayers(photo: ViewedPhoto): void {
    const over = byId("over");
    const known = source(photo) ? layersOf(photo) : [];
    const draw = () =>
      drawLayers(
        over,
        photo,
        known.filter(({ name }) => this.#on.has(name)),
      );
    byId("layers").replaceChildren(
      ...known.map(({ name, words }) => {
        const box = element("input", { type: "checkbox" }) as HTMLInputElement;
        box.checked = this.#on.has(name);
        box.addEventListener("change", () => {
          for (const set of [this.#asked, this.#on])
            if (box.checked) set.add(name);
            else set.delete(name);
          draw();
        });
        return element("label", {}, box, ` ${words}`);
      }),
    );
    draw();
  }

  #told(photo: ViewedPhoto): Node[] {
    const said = photo.said.map(({ message, figures, advice, note }) =>
      element(
        "div",
        { class: note ? "said note" : `said ${photo.mark}` },
        element("p", { class: "reason" }, message),
        element("p", { class: "advice" }, advice),
        ...(figures === undefined ? [] : [element("p", { class: "aside" }, figures)]),
      ),
    );
    const parts: Node[] = [...said];
    if (photo.compared !== undefined) parts.push(compared(photo, photo.compared));
    if (photo.levelled) parts.push(this.#levelled());
    if (photo.nearest !== undefined)
      parts.push(
        pair("Beside the nearest good photo", "pair", [
          [`large-${this.#place}`, photo.file],
          [`large-${photo.nearest.place}`, photo.nearest.words],
        ]),
      );
    if (photo.edges !== undefined) parts.push(rose(photo.edges));
    parts.push(
      element("h3", {}, "Measured"),
      element(
        "dl",
        {},
        ...photo.measured.flatMap(([name, value]) => [element("dt", {}, name), element("dd", {}, value)]),
      ),
    );
    return parts;
  }

  #levelled(): Node {
    return pair("Before and after it is levelled", "pair", [
      [`large-${this.#place}`, "as it is"],
      [`levelled-${this.#place}`, "brought to the set's light and colour"],
    ]);
  }
}

/** The same spot at one pixel of the photo to one of the page, so that blur is seen and not believed. */
function compared(
  { file }: ViewedPhoto,
  { own, good, goodFile }: NonNullable<ViewedPhoto["compared"]>,
): Node {
  return pair("The same spot at full size", "pair exact", [
    [own, file],
    [good, `${goodFile}, good`],
  ]);
}

/** Two pictures side by side under a heading. */
function pair(
  heading: string,
  kind: string,
  pictures: readonly (readonly [id: string, words: string])[],
): Node {
  return element(
    "div",
    {},
    element("h3", {}, heading),
    element(
      "div",
      { class: kind },
      ...pictures.map(([id, words]) =>
        element(
          "figure",
          {},
          element("img", { src: storedPicture(id) ?? "", alt: words }),
          element("figcaption", {}, words),
        ),
      ),
    ),
  );
}

function source({ shown }: ViewedPhoto): boolean {
  return shown;
}
