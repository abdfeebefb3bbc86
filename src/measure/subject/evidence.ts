import type { Features } from "../../types.js";
import { heightOver, inPlace, type Place } from "./place.js";
import type { WorldPoints } from "./points.js";
import { cellAt, cellsPer, projectTo, type View } from "./view.js";

/** What the matches say of one view's cells. */
export interface Evidence {
  /** How much speaks for the subject, and against it; one a cell, 0 where no match falls. */
  readonly subject: Float32Array;
  readonly background: Float32Array;
  /** Matches on the subject. */
  readonly subjectPoints: number;
}

/** A keypoint speaks for the surface that its descriptor covers: about this many times its scale around it. */
const REACH_IN_SCALES = 3;
const MOST_REACH_CELLS = 2.5;
/** Trust in a point by how many photos see it: two may agree by chance. */
const TRUST_OF_TWO = 0.5;
/** Between the table and this height (share of the radius) a point may belong to either. */
const ON_PLANE = 0.03;

/** Sorts the world's points into the subject's and the background's, and lays them over the cells of every view. */
export function evidenceOf(
  views: readonly View[],
  features: readonly Pick<Features, "x" | "y" | "scale">[],
  points: WorldPoints,
  place: Place,
): Evidence[] {
  const evidence = views.map(({ columns, rows }) => ({
    subject: new Float32Array(columns * rows),
    background: new Float32Array(columns * rows),
    subjectPoints: 0,
  }));
  for (let k = 0; k < points.count; k++) {
    const [x, y, z] = points.positions.subarray(3 * k, 3 * k + 3);
    const on = inPlace(place, x, y, z);
    if (!on && inBetween(place, x, y, z)) continue;
    const sightings = points.start[k + 1] - points.start[k];
    const trust = sightings > 2 ? 1 : TRUST_OF_TWO;
    for (let s = points.start[k]; s < points.start[k + 1]; s++) {
      const v = points.photo[s];
      const own = evidence[v];
      if (on) own.subjectPoints++;
      lay(on ? own.subject : own.background, views[v], features[v], points.keypoint[s], trust);
    }
  }
  return evidence;
}

/** In the ball and barely over the table. */
function inBetween(place: Place, x: number, y: number, z: number): boolean {
  const [cx, cy, cz] = place.centre;
  return Math.hypot(x - cx, y - cy, z - cz) < place.radius && heightOver(place, x, y, z) > ON_PLANE;
}

function lay(
  into: Float32Array,
  view: View,
  features: Pick<Features, "x" | "y" | "scale">,
  keypoint: number,
  trust: number,
): void {
  const toCells = view.columns / view.widthPx;
  const column = (features.x[keypoint] + 0.5) * toCells;
  const row = (features.y[keypoint] + 0.5) * toCells;
  const reach = Math.min(MOST_REACH_CELLS, REACH_IN_SCALES * features.scale[keypoint] * toCells);
  const own = cellAt(view, column, row);
  if (own >= 0) into[own] += trust;
  for (let r = Math.ceil(row - reach - 0.5); r <= row + reach - 0.5; r++) {
    for (let c = Math.ceil(column - reach - 0.5); c <= column + reach - 0.5; c++) {
      if (c < 0 || r < 0 || c >= view.columns || r >= view.rows) continue;
      const cell = r * view.columns + c;
      const away = Math.hypot(c + 0.5 - column, r + 0.5 - row);
      if (cell !== own && away < reach) into[cell] += trust * (1 - away / reach);
    }
  }
}

/**
 * What is known of each cell before any match: likely the subject where the middle of the place is seen, neither way
 * halfway out, and surely not beyond its edge.
 */
export function priorOf(view: View, place: Place): Float32Array {
  const prior = new Float32Array(view.columns * view.rows);
  const out = new Float64Array(3);
  const [x, y, z] = place.centre;
  if (!projectTo(view, x, y, z, out)) return prior;
  const reach = place.radius * cellsPer(view, out[2]);
  for (let row = 0, cell = 0; row < view.rows; row++) {
    for (let column = 0; column < view.columns; column++, cell++) {
      const away = Math.hypot(column + 0.5 - out[0], row + 0.5 - out[1]) / reach;
      prior[cell] = away >= 1 ? 0 : MIDDLE_PRIOR + (EDGE_PRIOR - MIDDLE_PRIOR) * away * away;
    }
  }
  return prior;
}

const MIDDLE_PRIOR = 0.7;
const EDGE_PRIOR = 0.2;
