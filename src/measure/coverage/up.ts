import { symmetricEigen } from "../geometry/symmetric-eigen.js";
import { addScaled, apply, cross, dot, length, type Mat3, unit, type Vec3 } from "../geometry/vector.js";
import { axisOf } from "../poses/placed.js";

export interface UpAxis {
  /** Unit vector, in the world of the rotations. */
  readonly up: Vec3;
  /** Standard error, degrees, from the spread of the rolls; 90 where nothing tells. */
  readonly uncertaintyDeg: number;
}

/** A furniture top or a floor is level within this, degrees: 9 mm on a metre (common practice, no source). */
const LEVEL_DEG = 0.5;

/** Hand-held photos are rolled by a few degrees; a tenth of them by more (common practice, no source). */
const ROLL = (5 * Math.PI) / 180;
const ROLL_CAP = (20 * Math.PI) / 180;
/** Cost of a photo on its side, and upside down, as a roll it outweighs: rarer, so only preferred when it explains more. */
const SIDE_ROLL = (8 * Math.PI) / 180;
const UPSIDE_DOWN_ROLL = (14 * Math.PI) / 180;
/** Cost of looking up at the subject, likewise: props are photographed from level or above. */
const LOOKING_UP_ROLL = (5 * Math.PI) / 180;
/**
 * Looking straight down a phone may be rolled any way: from 55 degrees on a roll counts less, from 75 not at all, and such a
 * photo costs what a roll of this size does. Without that cost, up along the view would leave photos that all look one way
 * no roll.
 */
const STEEP_COSINES = [Math.cos((55 * Math.PI) / 180), Math.cos((75 * Math.PI) / 180)];
const STEEP_ROLL = (12 * Math.PI) / 180;
/** Once a set, not once a photo: people look down on a prop by 0 to 50 degrees, against rolls of 3. */
const LEVEL_VIEW_WEIGHT = (3 / 25) ** 2;
/** How little a common height of the cameras counts beside the rolls: it decides where all photos look one way. */
const HEIGHT_WEIGHT = 0.02;
const PASSES = 8;
const MOST_PAIRS = 60;

/**
 * The direction that is up, from how the photos are rolled: each photo is snapped to the nearest of the four quarter
 * turns, so that photos turned to portrait do not mislead, and the axis is taken that leaves the least roll. Hypotheses
 * come from pairs of photos, the mean, and the plane of the camera centres.
 *
 * @param centres camera centres; distance their typical distance from the subject, same unit.
 */
export function upAxis(rotations: readonly Mat3[], centres: readonly Vec3[], distance: number): UpAxis {
  const heights = scatterOf(centres, distance);
  let best: number[] = [0, 0, 1];
  let lowest = Number.POSITIVE_INFINITY;
  for (const hypothesis of hypotheses(rotations, heights)) {
    for (const up of [hypothesis, hypothesis.map((c) => -c)]) {
      const cost = rollCost(rotations, up);
      if (cost < lowest) {
        lowest = cost;
        best = up;
      }
    }
  }
  return refine(rotations, heights, best);
}

/**
 * The mean of the direction that the rolls give and of that across a level surface, each by its certainty.
 *
 * @param normal unit vector across the surface, upward.
 */
export function levelled({ up, uncertaintyDeg }: UpAxis, normal: Vec3): UpAxis {
  const byRoll = 1 / uncertaintyDeg ** 2;
  const byLevel = 1 / LEVEL_DEG ** 2;
  return {
    up: unit(up.map((c, i) => byRoll * c + byLevel * normal[i])),
    uncertaintyDeg: 1 / Math.sqrt(byRoll + byLevel),
  };
}

function hypotheses(rotations: readonly Mat3[], heights: readonly number[]): number[][] {
  const rows = (row: number): number[][] =>
    rotations.map((r) => [r[3 * row], r[3 * row + 1], r[3 * row + 2]]);
  const found: number[][] = [];
  const [right, down] = [rows(0), rows(1)];
  found.push(unit(down.reduce((sum, d) => addScaled(sum, d, -1), [0, 0, 0])));
  for (const axes of [right, down]) found.push(smallest(outerSum(axes)));
  found.push(smallest(heights));
  // Up is across the horizontal axis of any two photos; which image axis that is depends on the quarter turn.
  const stride = Math.max(1, Math.floor((rotations.length * (rotations.length - 1)) / 2 / MOST_PAIRS));
  let pair = 0;
  for (let i = 0; i < rotations.length; i++) {
    for (let j = i + 1; j < rotations.length; j++) {
      if (pair++ % stride !== 0) continue;
      for (const p of [right[i], down[i]]) {
        for (const q of [right[j], down[j]]) {
          const up = cross(p, q);
          if (length(up) > 0.2) found.push(unit(up));
        }
      }
    }
  }
  return found.filter((up) => length(up) > 0.5);
}

/** Summed squared roll, robust, with the price of quarter turns, of looking up and of looking straight down. */
function rollCost(rotations: readonly Mat3[], up: Vec3): number {
  let sum = 0;
  for (const rotation of rotations) {
    const { weight, quarter, rest } = rollOf(rotation, up);
    const turned = quarter === 0 ? 0 : quarter === 2 ? UPSIDE_DOWN_ROLL : SIDE_ROLL;
    sum += weight * (Math.min(Math.abs(rest), ROLL_CAP) ** 2 + turned ** 2);
    sum += (1 - weight) * STEEP_ROLL ** 2;
    if (dot(axisOf(rotation), up) > 0.1) sum += LOOKING_UP_ROLL ** 2;
  }
  return sum;
}

/** Roll of a photo about its axis: nearest quarter turn (0 to 3) and the rest, radians; no weight where it is steep. */
function rollOf(rotation: Mat3, up: Vec3): { weight: number; quarter: number; rest: number } {
  const inCamera = apply(rotation, up);
  const roll = Math.atan2(inCamera[0], -inCamera[1]);
  const quarter = Math.round(roll / (Math.PI / 2));
  const level = Math.hypot(inCamera[0], inCamera[1]);
  const [from, to] = STEEP_COSINES;
  const weight = Math.max(0, Math.min(1, (level - to) / (from - to)));
  return { weight, quarter: (quarter + 4) % 4, rest: roll - (quarter * Math.PI) / 2 };
}

function refine(rotations: readonly Mat3[], heights: readonly number[], start: Vec3): UpAxis {
  let up = unit(start);
  let uncertainty = Math.PI / 2;
  for (let pass = 0; pass < PASSES; pass++) {
    const scatter = [0, 0, 0, 0, 0, 0, 0, 0, 0];
    let spread = 0;
    let total = 0;
    for (const rotation of rotations) {
      const { weight, quarter, rest } = rollOf(rotation, up);
      const w = weight / (1 + (rest / ROLL) ** 2);
      const row = quarter % 2 === 0 ? 0 : 3;
      const level = [rotation[row], rotation[row + 1], rotation[row + 2]];
      addOuter(scatter, level, w);
      addOuter(scatter, axisOf(rotation), LEVEL_VIEW_WEIGHT / rotations.length);
      spread += w * dot(level, up) ** 2;
      total += w;
    }
    const withHeights = scatter.map((s, i) => s + HEIGHT_WEIGHT * heights[i]);
    const { values, vectors } = symmetricEigen(withHeights, 3);
    const [next] = vectors;
    up = dot(next, up) < 0 ? next.map((c) => -c) : next;
    const roll = Math.max(Math.sqrt(spread / Math.max(total, 1e-12)), ROLL / 5);
    uncertainty = roll / Math.sqrt(Math.max(values[1], 1e-12));
  }
  return { up, uncertaintyDeg: Math.min(90, (uncertainty * 180) / Math.PI) };
}

/** Scatter of the centres about their mean, in units of the distance squared: row-major 3 x 3. */
function scatterOf(centres: readonly Vec3[], distance: number): number[] {
  const scatter = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  const mean = centres.reduce((sum: number[], c) => addScaled(sum, c, 1 / centres.length), [0, 0, 0]);
  for (const centre of centres) addOuter(scatter, addScaled(centre, mean, -1), 1 / (distance * distance));
  return scatter;
}

function outerSum(vectors: readonly Vec3[]): number[] {
  const sum = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  for (const v of vectors) addOuter(sum, v, 1);
  return sum;
}

function addOuter(sum: number[], v: Vec3, weight: number): void {
  for (let r = 0; r < 3; r++) for (let c = 0; c < 3; c++) sum[3 * r + c] += weight * v[r] * v[c];
}

function smallest(scatter: readonly number[]): number[] {
  return symmetricEigen(scatter, 3).vectors[0];
}
