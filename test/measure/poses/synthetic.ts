/**
 * Point clouds seen by exact cameras: keypoints, matches with noise and outliers, and the truth, without rendering.
 * Lengths are in units of the subject's radius; z is up.
 */

import { rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { apply, cross, dot, multiply, unit } from "#goodgate/measure/geometry/vector.js";
import { intrinsicsOf } from "#goodgate/measure/poses/intrinsics.js";

/** A repeatable source of numbers in [0, 1). */
export function randomSource(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

export function gaussian(random: () => number): number {
  return Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}

export interface TrueCamera {
  /** World to camera: x right, y down, z forward. */
  readonly rotation: number[];
  readonly centre: number[];
  /** Where it was meant to stand. */
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
  readonly quarterTurned: boolean;
  readonly widthPx: number;
  readonly heightPx: number;
}

export interface Jitter {
  /** Standard deviations: aim and roll in degrees, place in degrees around the subject, distance as a share. */
  readonly aimDeg: number;
  readonly rollDeg: number;
  readonly placeDeg: number;
  readonly distanceRatio: number;
}

export const HAND_HELD: Jitter = { aimDeg: 2.5, rollDeg: 3, placeDeg: 1.5, distanceRatio: 0.06 };
export const STEADY: Jitter = { aimDeg: 0, rollDeg: 0, placeDeg: 0, distanceRatio: 0 };

/** A camera at the given direction from the origin, aimed at the origin. Azimuth grows clockwise seen from above. */
export function cameraAt(
  azimuthDeg: number,
  elevationDeg: number,
  distance: number,
  jitter: Jitter,
  random: () => number,
  quarterTurned = false,
  sidewaysFile = false,
): TrueCamera {
  const g = () => gaussian(random);
  const azimuth = azimuthDeg + jitter.placeDeg * g();
  const elevation = elevationDeg + jitter.placeDeg * g();
  const d = distance * (1 + jitter.distanceRatio * g());
  const a = (-azimuth * Math.PI) / 180;
  const e = (elevation * Math.PI) / 180;
  const centre = [d * Math.cos(e) * Math.cos(a), d * Math.cos(e) * Math.sin(a), d * Math.sin(e)];
  const forward = unit(centre.map((c) => -c));
  const side =
    Math.abs(forward[2]) > 0.999
      ? unit(cross(forward, [Math.cos(a), Math.sin(a), 0]))
      : unit(cross(forward, [0, 0, 1]));
  const down = cross(forward, side);
  let rotation = [...side, ...down, ...forward];
  const radians = Math.PI / 180;
  rotation = multiply(
    rotationFromAxisAngle([
      jitter.aimDeg * radians * g(),
      jitter.aimDeg * radians * g(),
      jitter.rollDeg * radians * g(),
    ]),
    rotation,
  );
  // A phone held upright: the file is upright too, unless its orientation tag is lost.
  if (quarterTurned && sidewaysFile)
    rotation = multiply(rotationFromAxisAngle([0, 0, Math.PI / 2]), rotation);
  const portrait = quarterTurned && !sidewaysFile;
  return {
    rotation,
    centre,
    azimuthDeg: azimuth,
    elevationDeg: elevation,
    quarterTurned,
    widthPx: portrait ? 750 : 1000,
    heightPx: portrait ? 1000 : 750,
  };
}

export interface RingOptions {
  readonly photos: number;
  readonly elevationDeg: number;
  readonly distance?: number;
  readonly fromDeg?: number;
  readonly spanDeg?: number;
  readonly jitter?: Jitter;
  /** Share of photos taken upright (portrait). */
  readonly portraitRatio?: number;
  /** Portrait photos whose orientation tag is lost lie on their side. */
  readonly sidewaysFiles?: boolean;
  /** The walk rises and sinks once on its way round by this much, degrees: nobody holds a height. */
  readonly swayDeg?: number;
}

/** Cameras evenly around; a span under 360 includes both ends. */
export function ring(options: RingOptions, random: () => number): TrueCamera[] {
  const span = options.spanDeg ?? 360;
  const steps = span >= 360 ? options.photos : options.photos - 1;
  return Array.from({ length: options.photos }, (_, k) =>
    cameraAt(
      (options.fromDeg ?? 0) + (span * k) / steps,
      options.elevationDeg + (options.swayDeg ?? 0) * Math.sin((2 * Math.PI * k) / steps),
      options.distance ?? 5,
      options.jitter ?? HAND_HELD,
      random,
      random() < (options.portraitRatio ?? 0),
      options.sidewaysFiles ?? false,
    ),
  );
}

/** Cameras evenly over the upper hemisphere between two heights, on a spiral (Fibonacci lattice). */
export function hemisphere(
  options: {
    photos: number;
    lowestDeg: number;
    highestDeg: number;
    distance?: number;
    portraitRatio?: number;
  },
  random: () => number,
): TrueCamera[] {
  const [low, high] = [options.lowestDeg, options.highestDeg].map((e) => Math.sin((e * Math.PI) / 180));
  return Array.from({ length: options.photos }, (_, k) => {
    const elevation = (Math.asin(low + ((high - low) * (k + 0.5)) / options.photos) * 180) / Math.PI;
    const azimuth = (k * 360 * (3 - Math.sqrt(5))) / 2;
    const portrait = random() < (options.portraitRatio ?? 0);
    return cameraAt(azimuth % 360, elevation, options.distance ?? 5, HAND_HELD, random, portrait);
  });
}

export interface ScenePoint {
  readonly at: number[];
  readonly normal: number[];
}

/** A jug-like lump with relief, on a table, where asked before a flat wall on its far side. */
export function scene(
  random: () => number,
  options: { subject?: number; table?: number; wall?: number } = {},
): ScenePoint[] {
  const points: ScenePoint[] = [];
  const subject = options.subject ?? 4000;
  for (let i = 0; i < subject; i++) {
    const z = -1 + 2.2 * random();
    const angle = 2 * Math.PI * random();
    const radius =
      (0.75 + 0.2 * Math.cos(2.2 * z)) * (1 + 0.08 * Math.sin(5 * angle) * Math.cos(4 * z)) +
      0.02 * gaussian(random);
    const slope = 0.44 * Math.sin(2.2 * z);
    // Top cap.
    if (random() < 0.15) {
      const r = 0.7 * Math.sqrt(random());
      points.push({
        at: [r * Math.cos(angle), r * Math.sin(angle), 1.2 + 0.1 * Math.sin(6 * r)],
        normal: [0, 0, 1],
      });
    } else {
      points.push({
        at: [radius * Math.cos(angle), radius * Math.sin(angle), z],
        normal: unit([Math.cos(angle), Math.sin(angle), slope]),
      });
    }
  }
  for (let i = 0; i < (options.table ?? 1500); i++) {
    const r = 3 * Math.sqrt(random());
    const angle = 2 * Math.PI * random();
    points.push({ at: [r * Math.cos(angle), r * Math.sin(angle), -1], normal: [0, 0, 1] });
  }
  for (let i = 0; i < (options.wall ?? 0); i++) {
    points.push({ at: [-3, 12 * (random() - 0.5), -1 + 7 * random()], normal: [1, 0, 0] });
  }
  return points;
}

export interface Photo {
  readonly camera: TrueCamera;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly x: Float32Array;
  readonly y: Float32Array;
  /** Scene point of each keypoint. */
  readonly point: Int32Array;
  /** Keypoint of each scene point, -1 where not seen. */
  readonly keypointOf: Int32Array;
}

export const FOCAL_35_MM = 26;

/** Projects the scene: a point is a keypoint where it faces the camera, lies in the frame and chance allows. */
export function photograph(
  points: readonly ScenePoint[],
  camera: TrueCamera,
  random: () => number,
  options: { noisePx?: number; seenRatio?: number; focal35Mm?: number; k1?: number } = {},
): Photo {
  const { focalPx, centreX, centreY } = intrinsicsOf(
    camera.widthPx,
    camera.heightPx,
    options.focal35Mm ?? FOCAL_35_MM,
  );
  const noise = options.noisePx ?? 0.5;
  const x: number[] = [];
  const y: number[] = [];
  const point: number[] = [];
  const keypointOf = new Int32Array(points.length).fill(-1);
  points.forEach((p, index) => {
    const view = camera.centre.map((c, i) => c - p.at[i]);
    if (dot(unit(view), p.normal) < 0.35 || random() > (options.seenRatio ?? 0.6)) return;
    const inCamera = apply(
      camera.rotation,
      view.map((c) => -c),
    );
    if (inCamera[2] < 0.1) return;
    const [x0, y0] = [inCamera[0] / inCamera[2], inCamera[1] / inCamera[2]];
    // Radial distortion as calibrations state it: a k1 of .04 moves the corner of a phone's picture by 2 %.
    const bend = focalPx * (1 + (options.k1 ?? 0) * (x0 * x0 + y0 * y0));
    const u = centreX + bend * x0 + noise * gaussian(random);
    const v = centreY + bend * y0 + noise * gaussian(random);
    if (u < 0 || v < 0 || u >= camera.widthPx || v >= camera.heightPx) return;
    keypointOf[index] = x.length;
    x.push(u);
    y.push(v);
    point.push(index);
  });
  return {
    camera,
    widthPx: camera.widthPx,
    heightPx: camera.heightPx,
    x: Float32Array.from(x),
    y: Float32Array.from(y),
    point: Int32Array.from(point),
    keypointOf,
  };
}

/**
 * Matches of two photos: shared points kept with a chance that falls with the angle between the views, as descriptors
 * do (half at 15 degrees, almost none beyond 35), at most `most`, and outliers anywhere.
 */
export function match(
  points: readonly ScenePoint[],
  a: Photo,
  b: Photo,
  random: () => number,
  options: { outlierRatio?: number; most?: number } = {},
): Int32Array {
  const pairs: number[] = [];
  for (let k = 0; k < a.point.length; k++) {
    const p = points[a.point[k]];
    const other = b.keypointOf[a.point[k]];
    if (other < 0) continue;
    const va = unit(a.camera.centre.map((c, i) => c - p.at[i]));
    const vb = unit(b.camera.centre.map((c, i) => c - p.at[i]));
    const angle = (Math.acos(Math.min(1, dot(va, vb))) * 180) / Math.PI;
    if (random() < 0.8 * Math.exp(-Math.LN2 * (angle / 15) ** 2)) pairs.push(k, other);
  }
  const most = options.most ?? 400;
  const keep = Math.min(1, most / (pairs.length / 2 || 1));
  const kept: number[] = [];
  for (let i = 0; i < pairs.length; i += 2) if (random() < keep) kept.push(pairs[i], pairs[i + 1]);
  const outliers = Math.round((kept.length / 2) * (options.outlierRatio ?? 0.08));
  for (let i = 0; i < outliers; i++) {
    kept.push(Math.floor(random() * a.point.length), Math.floor(random() * b.point.length));
  }
  return Int32Array.from(kept);
}

/** The true rotation of b against a. */
export function trueRotation(a: TrueCamera, b: TrueCamera): number[] {
  const r = a.rotation;
  return multiply(b.rotation, [r[0], r[3], r[6], r[1], r[4], r[7], r[2], r[5], r[8]]);
}
