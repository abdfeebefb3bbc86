import type { Features } from "../../types/photo.js";
import { heightOver, inPlace, type Place } from "./place.js";
import type { WorldPoints } from "./points.js";
import { cellAt, cellsPer, projectTo, type View } from "./view.js";

/** What the matches say of one view's cells. */
export interface Evidence {
  /** How much speaks for the subject, and against it; one a cell, 0 where no match falls. */
  readonly subject: Float32Array;
  readonly background: Float32Array;
  /** 1 where a match lies near, whatever it says; 0 where the cell is bare. */
  readonly near: Uint8Array;
  /** Matches on the subject. */
  readonly subjectPoints: number;
}

// What this file chooses was not measured number by number: docs/evaluation-subject.md holds the regions that come of all
// of it to exact masks (intersection over union 0.90 in the middle, textured or plain).

/**
 * A keypoint speaks for the surface around it, out to this many times its scale and never further than MOST_REACH_CELLS. Its
 * descriptor reads 8 scales either way, but at the outline most of that is background. Chosen.
 */
const REACH_IN_SCALES = 3;
const MOST_REACH_CELLS = 1.5;
/** Weight of a point by how many photos see it: two may agree by chance. Chosen. */
const WEIGHT_OF_TWO = 0.5;
/** Between the table and this height (share of the radius) a point may belong to either. Chosen. */
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
    near: new Uint8Array(columns * rows),
    subjectPoints: 0,
  }));
  for (let k = 0; k < points.count; k++) {
    const x = points.positions[3 * k];
    const y = points.positions[3 * k + 1];
    const z = points.positions[3 * k + 2];
    const on = inPlace(place, x, y, z);
    if (!on && inBetween(place, x, y, z)) continue;
    const sightings = points.start[k + 1] - points.start[k];
    const weight = sightings > 2 ? 1 : WEIGHT_OF_TWO;
    for (let s = points.start[k]; s < points.start[k + 1]; s++) {
      const v = points.photo[s];
      const own = evidence[v];
      if (on) own.subjectPoints++;
      lay(on ? own.subject : own.background, views[v], features[v], points.keypoint[s], weight);
    }
  }
  for (const [v, { subject, background, near }] of evidence.entries()) {
    for (let cell = 0; cell < near.length; cell++) {
      if (subject[cell] + background[cell] > 0) markNear(near, views[v], cell);
    }
  }
  return evidence;
}

/** Cells from a match within which a textured surface has another: 60 px at a long edge of 1920 px. Chosen. */
const NEAR_CELLS = 2.5;

function markNear(near: Uint8Array, { columns, rows }: View, cell: number): void {
  const reach = Math.floor(NEAR_CELLS);
  const column = cell % columns;
  const row = (cell - column) / columns;
  for (let dy = -reach; dy <= reach; dy++) {
    for (let dx = -reach; dx <= reach; dx++) {
      const [x, y] = [column + dx, row + dy];
      if (x < 0 || y < 0 || x >= columns || y >= rows || dx * dx + dy * dy > NEAR_CELLS * NEAR_CELLS)
        continue;
      near[y * columns + x] = 1;
    }
  }
}

/** Points inside the sphere but barely over the table, which may be either. */
function inBetween(place: Place, x: number, y: number, z: number): boolean {
  const [cx, cy, cz] = place.centre;
  return Math.hypot(x - cx, y - cy, z - cz) < place.reach && heightOver(place, x, y, z) > ON_PLANE;
}

function lay(
  into: Float32Array,
  view: View,
  features: Pick<Features, "x" | "y" | "scale">,
  keypoint: number,
  weight: number,
): void {
  const toCells = view.columns / view.widthPx;
  const column = (features.x[keypoint] + 0.5) * toCells;
  const row = (features.y[keypoint] + 0.5) * toCells;
  const reach = Math.min(MOST_REACH_CELLS, REACH_IN_SCALES * features.scale[keypoint] * toCells);
  const own = cellAt(view, column, row);
  if (own >= 0) into[own] += weight;
  for (let r = Math.ceil(row - reach - 0.5); r <= row + reach - 0.5; r++) {
    for (let c = Math.ceil(column - reach - 0.5); c <= column + reach - 0.5; c++) {
      if (c < 0 || r < 0 || c >= view.columns || r >= view.rows) continue;
      const cell = r * view.columns + c;
      const [across, down] = [c + 0.5 - column, r + 0.5 - row];
      const away = Math.sqrt(across * across + down * down);
      if (cell !== own && away < reach) into[cell] += weight * (1 - away / reach);
    }
  }
}

/** Chance that a cell is the subject's in the middle of the place, at one radius from it, and beyond. Chosen. */
const MIDDLE_PRIOR = 0.7;
const EDGE_PRIOR = 0.2;
const LEAST_PRIOR = 0.05;
/** Cells likelier than this beforehand are the inner part of the place: nearer than half of the radius. */
const INNER_PRIOR = 0.58;
/** A bare cell is never more telling than this, either way: shadows and dark cloth are bare too. Chosen. */
const MOST_TELLING = 4;

/**
 * What a cell without a match near says: how much likelier the subject leaves a cell bare than the background does. Above
 * 1 where a plain subject stands before a textured background, under 1 where it is the other way round.
 */
export function bareOdds(evidence: readonly Evidence[], priors: readonly Float32Array[]): number {
  let inner = 0;
  let innerBare = 0;
  let outer = 0;
  let outerBare = 0;
  for (const [k, prior] of priors.entries()) {
    const { near } = evidence[k];
    for (let i = 0; i < prior.length; i++) {
      const bare = 1 - near[i];
      if (prior[i] > INNER_PRIOR) {
        inner++;
        innerBare += bare;
      } else if (prior[i] === 0) {
        outer++;
        outerBare += bare;
      }
    }
  }
  const odds = ((innerBare + 1) / (inner + 2)) * ((outer + 2) / (outerBare + 1));
  return Math.max(1 / MOST_TELLING, Math.min(MOST_TELLING, odds));
}

/** The prior of a bare cell after what its bareness says. */
export function afterBare(prior: number, odds: number): number {
  return (prior * odds) / (prior * odds + 1 - prior);
}

/**
 * What is known of each cell before any match: likely the subject where the middle of the place is seen, neither way
 * halfway out, unlikely beyond, and 0 where the place ends.
 */
export function priorOf(view: View, place: Place): Float32Array {
  const prior = new Float32Array(view.columns * view.rows);
  const out = new Float64Array(3);
  const [x, y, z] = place.centre;
  if (!projectTo(view, x, y, z, out)) return prior;
  const perCell = cellsPer(view, out[2]);
  for (let row = 0, cell = 0; row < view.rows; row++) {
    for (let column = 0; column < view.columns; column++, cell++) {
      const across = column + 0.5 - out[0];
      const down = row + 0.5 - out[1];
      const distance = Math.sqrt(across * across + down * down) / perCell;
      const away = distance / place.radius;
      if (distance < place.reach)
        prior[cell] = Math.max(LEAST_PRIOR, MIDDLE_PRIOR + (EDGE_PRIOR - MIDDLE_PRIOR) * away * away);
    }
  }
  return prior;
}
