import type { LayerName, ViewedPhoto } from "../viewed-photo.js";
import { drawn } from "./dom.js";

export interface Layer {
  readonly name: LayerName;
  readonly words: string;
}

/** Shares of burnt-out pixels from which a tile is drawn, percent: less is a glint. */
const DRAWN_FROM = 2;

/** What can be drawn over a photo. */
export function layersOf({ tiles, outline }: ViewedPhoto): readonly Layer[] {
  return [
    ...(outline !== undefined && outline.length > 0
      ? [{ name: "outline", words: "the subject's outline" } as const]
      : []),
    ...(tiles.burnt.some((share) => share >= DRAWN_FROM)
      ? [{ name: "burnt", words: "burnt-out areas" } as const]
      : []),
    ...(tiles.fine.some((share) => share !== null)
      ? [{ name: "soft", words: "fine detail: the larger the ring, the finer" } as const]
      : []),
  ];
}

/** Draws layers over the picture, which the drawing covers exactly. */
export function drawLayers(over: Element, photo: ViewedPhoto, layers: readonly Layer[]): void {
  const { columns, rows, burnt, fine } = photo.tiles;
  // A hundred units a tile, stretched to the picture.
  over.setAttribute("viewBox", `0 0 ${100 * columns} ${100 * rows}`);
  over.setAttribute("preserveAspectRatio", "none");
  const parts: SVGElement[] = [];
  const each = (draw: (tile: number, x: number, y: number) => SVGElement[]) => {
    for (let tile = 0; tile < columns * rows; tile++)
      parts.push(...draw(tile, 100 * (tile % columns), 100 * Math.floor(tile / columns)));
  };
  for (const { name } of layers)
    if (name === "outline") parts.push(...outlined(photo.outline ?? [], 100 * columns, 100 * rows));
    else if (name === "burnt")
      each((tile, x, y) => (burnt[tile]! < DRAWN_FROM ? [] : [hatched(x, y, burnt[tile]!)]));
    else
      each((tile, x, y) => {
        const share = fine[tile];
        return share === null || share === undefined
          ? []
          : [drawn("circle", { class: "fine", cx: x + 50, cy: y + 50, r: 4 + 0.36 * share })];
      });
  over.replaceChildren(...parts);
}

/** Lines across a tile, the closer the more of it is burnt out. */
function hatched(x: number, y: number, percent: number): SVGElement {
  const lines = 1 + Math.ceil(percent / 20);
  const path = Array.from({ length: lines }, (_, k) => {
    const at = (100 * (k + 0.5)) / lines;
    return `M${x + at} ${y}L${x + at - 30} ${y + 100}`;
  });
  return drawn("path", { class: "burnt", d: path.join("") });
}

/** Nearer to the frame's edge than this is on it. */
const ON_EDGE = 1e-3;

/** The subject's outline, and thick where the frame cuts the subject off. */
function outlined(lines: readonly (readonly number[])[], width: number, height: number): SVGElement[] {
  return lines.flatMap((line) => {
    const corners = Array.from(
      { length: line.length / 2 },
      (_, k) => [line[2 * k]!, line[2 * k + 1]!] as const,
    );
    const at = ([x, y]: readonly [number, number]) => `${(width * x).toFixed(0)} ${(height * y).toFixed(0)}`;
    const cut = corners.flatMap((corner, k) => {
      const next = corners[(k + 1) % corners.length]!;
      const along = [0, 1].some((axis) =>
        [0, 1].some(
          (edge) => Math.abs(corner[axis]! - edge) < ON_EDGE && Math.abs(next[axis]! - edge) < ON_EDGE,
        ),
      );
      return along ? [drawn("path", { class: "cut", d: `M${at(corner)}L${at(next)}` })] : [];
    });
    return [drawn("path", { class: "outline", d: `M${corners.map(at).join("L")}Z` }), ...cut];
  });
}
