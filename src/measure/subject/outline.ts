import { ON_SUBJECT, type SubjectRegion } from "./cover.js";

/** A corner nearer than this to the line between its neighbours is left out, cells: steps of the grid go, the shape stays. */
const STRAIGHT_CELLS = 0.75;
/** Pieces of fewer corners say nothing of a shape. */
const FEWEST_CORNERS = 4;

/**
 * The outline of a region: closed lines around its cells, simplified. Holes have lines of their own. Where the region is
 * cut off by the frame, the line runs along the frame's edge, at exactly 0 or 1.
 *
 * @returns lines of x, y, x, y, ..., shares of width and height; none for a region without cells
 * @see Douglas and Peucker 1973, "Algorithms for the reduction of the number of points required to represent a digitized line"
 */
export function outlineOf({
  columns,
  rows,
  share,
}: Pick<SubjectRegion, "columns" | "rows" | "share">): number[][] {
  const inside = (column: number, row: number): boolean =>
    column >= 0 && row >= 0 && column < columns && row < rows && share[row * columns + column] >= ON_SUBJECT;
  // Each side between a cell inside and one outside is walked with the inside at its right, from corner to corner.
  const next = new Map<number, number[]>();
  const corner = (x: number, y: number): number => y * (columns + 1) + x;
  const side = (from: number, to: number): void => {
    next.set(from, [...(next.get(from) ?? []), to]);
  };
  for (let row = 0; row < rows; row++)
    for (let column = 0; column < columns; column++) {
      if (!inside(column, row)) continue;
      if (!inside(column, row - 1)) side(corner(column, row), corner(column + 1, row));
      if (!inside(column + 1, row)) side(corner(column + 1, row), corner(column + 1, row + 1));
      if (!inside(column, row + 1)) side(corner(column + 1, row + 1), corner(column, row + 1));
      if (!inside(column - 1, row)) side(corner(column, row + 1), corner(column, row));
    }
  const lines: number[][] = [];
  for (const start of next.keys()) {
    const walked: number[] = [];
    // Every corner is left as often as it is reached, so that a walk ends where it began.
    for (let at = start, to = next.get(at)!.pop(); to !== undefined; to = next.get(at)!.pop()) {
      walked.push(at);
      at = to;
    }
    const points = walked.map((at): Point => [at % (columns + 1), Math.floor(at / (columns + 1))]);
    const simple = simplified(points);
    if (simple.length >= FEWEST_CORNERS) lines.push(simple.flatMap(([x, y]) => [x / columns, y / rows]));
  }
  return lines;
}

type Point = readonly [x: number, y: number];

/** A closed line with fewer corners: halved at the corner farthest from its first, then each half by itself. */
function simplified(points: readonly Point[]): Point[] {
  if (points.length < FEWEST_CORNERS) return [];
  const [first] = points;
  const away = points.map(([x, y]) => Math.hypot(x - first[0], y - first[1]));
  const far = away.indexOf(Math.max(...away));
  return [...reduced([...points.slice(0, far + 1)]), ...reduced([...points.slice(far), first])];
}

/** An open line without the corners that hardly turn, and without its last. */
function reduced(line: readonly Point[]): Point[] {
  const kept = new Set([0]);
  const waiting: [number, number][] = [[0, line.length - 1]];
  for (let piece = waiting.pop(); piece !== undefined; piece = waiting.pop()) {
    const [from, to] = piece;
    let farthest = -1;
    let most = STRAIGHT_CELLS;
    for (let k = from + 1; k < to; k++) {
      const off = distance(line[k], line[from], line[to]);
      if (off > most) [farthest, most] = [k, off];
    }
    if (farthest === -1) continue;
    kept.add(farthest);
    waiting.push([from, farthest], [farthest, to]);
  }
  return [...kept].toSorted((a, b) => a - b).map((k) => line[k]);
}

/** Of a point from the line through two others. */
function distance([x, y]: Point, [x1, y1]: Point, [x2, y2]: Point): number {
  const length = Math.hypot(x2 - x1, y2 - y1);
  if (length === 0) return Math.hypot(x - x1, y - y1);
  return Math.abs((x2 - x1) * (y1 - y) - (x1 - x) * (y2 - y1)) / length;
}
