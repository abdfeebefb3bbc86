import { symmetricEigen } from "../geometry/symmetric-eigen.js";
import {
  angleDegBetween,
  apply,
  cross,
  dot,
  length,
  type Mat3,
  unit,
  type Vec3,
} from "../geometry/vector.js";
import { axisOf } from "../poses/placed.js";

/** The photos of a second round, after the subject was laid down or turned over. */
export interface LaidOver {
  /** Places in the list of rotations, ascending. */
  readonly members: readonly number[];
  /** Angle between what was up in the two rounds, on the subject, degrees. */
  readonly tiltDeg: number;
}

/** Rolls of a hand (5 degrees, seldom 15) and what the two up axes are off by; a quarter turn is far from it. */
const ROLLED_WITHIN_DEG = 25;
/** Nobody looks up steeper than this at what stands on a table. */
const LOWEST_DEG = -20;
/** Nearer to straight up or down than this the roll tells nothing. */
const STEEP_DEG = 75;
/** A subject that was laid over lies on another side of it, a quarter turn on or more; less is a slope. */
const LEAST_TILT_DEG = 45;
/** Fewer photos are no round; our choice, that of the fewest placed photos that are judged. */
const FEWEST = 8;
/** Photos that no one could have taken of a subject standing as it does, nearly all of which a second up has to explain. */
const FEWEST_IMPOSSIBLE = 3;
const EXPLAINED_RATIO = 0.8;
const MOST_HYPOTHESES = 400;
const DEGREES = 180 / Math.PI;

/**
 * Whether part of the photos was taken of the subject lying otherwise. Placed by the subject alone, a camera that went
 * round it level then seems to hang upside down, or to lie on its side beneath the table. Such photos have a second axis
 * in common about which all of them were held upright.
 *
 * @param rotations world to camera, of all photos
 * @param up of the first round, unit length
 * @returns undefined where one up explains all photos
 */
export function findLaidOver(rotations: readonly Mat3[], up: Vec3): LaidOver | undefined {
  const odd = rotations.filter((rotation) => isImpossible(rotation, up));
  if (odd.length < FEWEST_IMPOSSIBLE) return undefined;
  let best: readonly number[] = [];
  for (const second of secondUps(odd)) {
    if (angleDegBetween(second, up) < LEAST_TILT_DEG) continue;
    const members = membersOf(rotations, up, second);
    if (members.length > best.length) best = members;
  }
  const explained = best.filter((k) => isImpossible(rotations[k], up)).length;
  if (best.length < FEWEST || explained < EXPLAINED_RATIO * odd.length) return undefined;
  return { members: best, tiltDeg: angleDegBetween(upOf(best.map((k) => rotations[k])), up) };
}

function membersOf(rotations: readonly Mat3[], up: Vec3, second: Vec3): number[] {
  return rotations.flatMap((rotation, k) =>
    isUpright(rotation, second) && !isUpright(rotation, up) ? [k] : [],
  );
}

/** Roll about the optical axis, degrees in [-180, 180], 0 upright; undefined where it looks nearly straight up or down. */
function rollDeg(rotation: Mat3, up: Vec3): number | undefined {
  const [x, y] = apply(rotation, up);
  if (Math.hypot(x, y) < Math.cos(STEEP_DEG / DEGREES)) return undefined;
  return Math.atan2(x, -y) * DEGREES;
}

/** How far above level the camera stands by the way it looks, degrees. */
function heightDeg(rotation: Mat3, up: Vec3): number {
  return -Math.asin(Math.max(-1, Math.min(1, dot(axisOf(rotation), up)))) * DEGREES;
}

function isUpright(rotation: Mat3, up: Vec3): boolean {
  const roll = rollDeg(rotation, up);
  return roll !== undefined && Math.abs(roll) <= ROLLED_WITHIN_DEG && heightDeg(rotation, up) >= LOWEST_DEG;
}

/** Upside down; or rolled, though that low one sees the subject only past the edge of what it stands on. */
function isImpossible(rotation: Mat3, up: Vec3): boolean {
  const roll = Math.abs(rollDeg(rotation, up) ?? 0);
  return roll > 135 || (roll > ROLLED_WITHIN_DEG && heightDeg(rotation, up) < LOWEST_DEG);
}

/** Axes about which two of the photos are both held upright, spread over all pairs. */
function secondUps(rotations: readonly Mat3[]): number[][] {
  const pairs = (rotations.length * (rotations.length - 1)) / 2;
  const stride = Math.max(1, Math.ceil(pairs / MOST_HYPOTHESES));
  const found: number[][] = [];
  let pair = 0;
  for (let i = 0; i < rotations.length; i++) {
    for (let j = i + 1; j < rotations.length; j++) {
      if (pair++ % stride !== 0) continue;
      const axis = cross(rightOf(rotations[i]), rightOf(rotations[j]));
      if (length(axis) > 0.2) found.push(towardsUp(unit(axis), rotations));
    }
  }
  return found;
}

/** The axis that all photos' right-hand directions lie across. */
function upOf(rotations: readonly Mat3[]): number[] {
  const scatter = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  for (const right of rotations.map(rightOf))
    for (let r = 0; r < 3; r++) for (let c = 0; c < 3; c++) scatter[3 * r + c] += right[r] * right[c];
  return towardsUp(symmetricEigen(scatter, 3).vectors[0], rotations);
}

/** The axis or its opposite, whichever lies upward in more of the pictures. */
function towardsUp(axis: number[], rotations: readonly Mat3[]): number[] {
  const upward = rotations.filter((rotation) => apply(rotation, axis)[1] < 0).length;
  return 2 * upward >= rotations.length ? axis : axis.map((c) => -c);
}

function rightOf(rotation: Mat3): number[] {
  return [rotation[0], rotation[1], rotation[2]];
}
