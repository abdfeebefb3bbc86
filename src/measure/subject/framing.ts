import type { SubjectRegion } from "./cover.js";
import { ON_SUBJECT } from "./cover.js";
import type { Hull } from "./hull.js";
import { projectTo, type View } from "./view.js";

/** How the subject lies to the frame. */
export interface Framing {
  /** Share of the frame that the subject covers, 0 to 1. */
  readonly areaRatio: number;
  /** Longest side of the upright box around the subject over the frame's short side; 1 and more fills it. */
  readonly sideRatio: number;
  /** Share of the subject's outline that lies beyond the frame's edge, 0 to 1; undefined where its shape is not known. */
  readonly cutRatio?: number;
}

/** Cubes at least this likely filled make the outline: thin ends are seldom sure. */
const FILLED = 0.15;

/** Cells from the frame's edge within which a region reaches it: a thin end may be lost over the last of them. */
const AT_EDGE = 5;

/** Area and box of a region, and what of the shape all views agree on lies beyond the frame where the region touches it. */
export function framingOf(
  region: SubjectRegion,
  outline?: { readonly view: View; readonly hull: Hull },
): Framing {
  const { columns, rows, share } = region;
  let cells = 0;
  let touching = false;
  let [left, right, top, bottom] = [columns, -1, rows, -1];
  for (let row = 0, i = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, i++) {
      if (share[i] < ON_SUBJECT) continue;
      cells++;
      left = Math.min(left, column);
      right = Math.max(right, column);
      top = Math.min(top, row);
      bottom = row;
      if (Math.min(column, row, columns - 1 - column, rows - 1 - row) < AT_EDGE) touching = true;
    }
  }
  const sideRatio = Math.max(0, right - left + 1, bottom - top + 1) / Math.min(columns, rows);
  const areaRatio = cells / (columns * rows);
  if (outline === undefined) return { areaRatio, sideRatio };
  return { areaRatio, sideRatio, cutRatio: touching ? beyondFrame(outline.hull, outline.view) : 0 };
}

/** Share of the hull's outline beyond the frame, drawn on a field three times the frame. */
function beyondFrame(hull: Hull, view: View): number {
  const { columns, rows } = view;
  const field = new Uint8Array(9 * columns * rows);
  const out = new Float64Array(3);
  const scale = (view.intrinsics.focalPx * columns) / view.widthPx;
  let inside = 0;
  let all = 0;
  for (let k = 0; k < hull.filled.length; k++) {
    if (hull.filled[k] <= FILLED) continue;
    if (!projectTo(view, hull.middles[3 * k], hull.middles[3 * k + 1], hull.middles[3 * k + 2], out))
      continue;
    const reach = (0.5 * hull.side * scale) / out[2];
    const c0 = Math.max(0, Math.round(out[0] + columns - reach));
    const c1 = Math.min(3 * columns - 1, Math.round(out[0] + columns + reach) - 1);
    const r0 = Math.max(0, Math.round(out[1] + rows - reach));
    const r1 = Math.min(3 * rows - 1, Math.round(out[1] + rows + reach) - 1);
    for (let row = r0; row <= r1; row++) {
      for (let column = c0; column <= c1; column++) {
        const cell = row * 3 * columns + column;
        if (field[cell] === 1) continue;
        field[cell] = 1;
        all++;
        if (column >= columns && column < 2 * columns && row >= rows && row < 2 * rows) inside++;
      }
    }
  }
  return all === 0 ? 0 : 1 - inside / all;
}
