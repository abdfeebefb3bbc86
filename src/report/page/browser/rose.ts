import { drawn, element } from "./dom.js";

const RADIUS = 60;
/** Widths over the limit that are drawn at the edge. */
const MOST = 3;

/**
 * How wide the sharpest edges are in eight directions: a round rose is out of focus, a long one was moved along its length.
 *
 * @param edges widths over the width from which a photo counts as blurred
 */
export function rose(edges: readonly (number | null)[]): HTMLElement {
  const known = edges.flatMap((width) => (width === null ? [] : [width]));
  const widest = known.length === 0 ? undefined : Math.max(...known);
  const picture = drawn("svg", {
    class: "rose",
    viewBox: `${-RADIUS - 4} ${-RADIUS - 4} ${2 * RADIUS + 8} ${2 * RADIUS + 8}`,
    role: "img",
    "aria-label": words(widest),
  });
  const reach = (width: number) => (RADIUS * Math.min(MOST, width)) / MOST;
  picture.append(drawn("circle", { class: "limit", r: RADIUS / MOST }));
  edges.forEach((width, direction) => {
    if (width === null) return;
    const turn = (direction * Math.PI) / 8;
    const [x, y] = [reach(width) * Math.cos(turn), reach(width) * Math.sin(turn)];
    picture.append(drawn("path", { class: width >= 1 ? "wide" : "fine", d: `M${-x} ${-y}L${x} ${y}` }));
  });
  return element(
    "div",
    { class: "edges" },
    element("h3", {}, "Blur by direction"),
    element("div", { class: "beside" }, picture as unknown as HTMLElement, element("p", {}, words(widest))),
  );
}

function words(widest: number | undefined): string {
  if (widest === undefined) return "The photo has too few edges to tell.";
  const limit = "The dashed circle is the width from which a photo counts as blurred.";
  return widest < 1
    ? `Its sharpest edges are narrower than that in every direction that could be measured. ${limit}`
    : `Its sharpest edges, where they are widest, are ${widest.toFixed(1)} times as wide as the limit. Long one way: the camera moved along it; long all ways: out of focus. ${limit}`;
}
