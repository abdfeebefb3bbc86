/**
 * Sets of keypoints with descriptors as the pictures of a scene would give them, without rendering: what looks alike on a
 * surface has the same descriptor where it is seen from the same side. So votes, matching, verification and geometry all
 * run as on photos, twenty times as fast. Lengths are in units of the subject's radius; z is up.
 */
import { createFeatures } from "#goodgate/measure/features/features.js";
import { rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { apply, cross, dot, unit, type Vec3 } from "#goodgate/measure/geometry/vector.js";
import { intrinsicsOf } from "#goodgate/measure/poses/intrinsics.js";
import type { Features } from "#goodgate/types/photo.js";
import { FOCAL_35_MM, gaussian, randomSource, type TrueCamera } from "../measure/poses/synthetic.js";

/** A spot of texture. Spots of one pattern look alike. */
export interface Spot {
  readonly at: Vec3;
  readonly normal: Vec3;
  /** Across the normal: which way up the pattern lies. */
  readonly tangent: Vec3;
  readonly pattern: number;
  /** Whether it turns with the subject. */
  readonly subject: boolean;
}

export interface SetPhoto {
  readonly features: Features;
  readonly focalLength35Mm?: number;
  /** Unit vector from the subject to the camera, in the subject's own frame. */
  readonly direction: Vec3;
}

export interface ShootOptions {
  /** How far the subject was turned before each photo, degrees; 0 unless given. */
  readonly turnDeg?: (photo: number) => number;
  /** Standard deviation of what cropping shifts the picture by, px of 1000. */
  readonly cropPx?: number;
  /** What EXIF states over what is true; undefined: it states none. */
  readonly statedFactor?: number | undefined;
  readonly noisePx?: number;
  /** Chance that a spot that faces the camera is found. */
  readonly foundRatio?: number;
  /** How quickly descriptors change with the side they are seen from: 2.6 halves matches at 20 degrees. */
  readonly change?: number;
}

const BITS = 256;
/** Share of a descriptor's bits that noise flips. */
const FLIPPED = 0.06;
const FACING = 0.3;
/** The subject's own extent, which hides what lies behind it. */
const HIDING = { radius: 0.6, low: -1, high: 1 };

/** Keypoints of each camera's photo. */
export function shoot(
  spots: readonly Spot[],
  cameras: readonly TrueCamera[],
  seed: number,
  options: ShootOptions = {},
): SetPhoto[] {
  const random = randomSource(seed * 7919 + 13);
  const patterns = new Map<number, Pattern>();
  return cameras.map((camera, k) => {
    const turn = rotationFromAxisAngle([0, 0, ((options.turnDeg?.(k) ?? 0) * Math.PI) / 180]);
    const crop = [0, 1].map(() => (options.cropPx ?? 0) * gaussian(random));
    const seen = spots.flatMap((spot) => {
      const one = see(spot.subject ? turned(spot, turn) : spot, spot.subject, camera, random, options);
      return one === undefined
        ? []
        : [{ ...one, u: one.u + crop[0], v: one.v + crop[1], pattern: spot.pattern }];
    });
    const features = createFeatures(seen.length, camera.widthPx, camera.heightPx);
    seen.forEach(({ u, v, angle, scale, local, pattern }, i) => {
      features.x[i] = u;
      features.y[i] = v;
      features.angle[i] = angle;
      features.scale[i] = scale;
      describeSpot(
        patternOf(patterns, pattern),
        local,
        random,
        options.change ?? 2.6,
        features.descriptors,
        8 * i,
      );
    });
    features.patches.fill(0.2);
    const back = rotationFromAxisAngle([0, 0, (-(options.turnDeg?.(k) ?? 0) * Math.PI) / 180]);
    const stated = "statedFactor" in options ? options.statedFactor : 1;
    return {
      features,
      ...(stated !== undefined && { focalLength35Mm: FOCAL_35_MM * stated }),
      direction: unit(apply(back, camera.centre)),
    };
  });
}

function turned(spot: Spot, turn: readonly number[]): Spot {
  return {
    ...spot,
    at: apply(turn, spot.at),
    normal: apply(turn, spot.normal),
    tangent: apply(turn, spot.tangent),
  };
}

interface Seen {
  readonly u: number;
  readonly v: number;
  readonly angle: number;
  readonly scale: number;
  /** Where the camera is, in the spot's own frame: unit length. */
  readonly local: Vec3;
}

function see(
  { at, normal, tangent }: Spot,
  ofSubject: boolean,
  camera: TrueCamera,
  random: () => number,
  { noisePx = 0.5, foundRatio = 0.7 }: ShootOptions,
): Seen | undefined {
  const view = camera.centre.map((c, i) => c - at[i]);
  const to = unit(view);
  if (dot(to, normal) < FACING || random() > foundRatio) return undefined;
  if (!ofSubject && isHidden(at, view)) return undefined;
  const { focalPx, centreX, centreY } = intrinsicsOf(camera.widthPx, camera.heightPx, FOCAL_35_MM);
  const project = (p: Vec3): number[] => {
    const [x, y, z] = apply(
      camera.rotation,
      p.map((c, i) => c - camera.centre[i]),
    );
    return [centreX + (focalPx * x) / z, centreY + (focalPx * y) / z, z];
  };
  const [x, y, depth] = project(at);
  if (depth < 0.1) return undefined;
  const u = x + noisePx * gaussian(random);
  const v = y + noisePx * gaussian(random);
  if (u < 0 || v < 0 || u >= camera.widthPx || v >= camera.heightPx) return undefined;
  const [tx, ty] = project(at.map((c, i) => c + 0.01 * tangent[i]));
  const side = cross(normal, tangent);
  return {
    u,
    v,
    angle: Math.atan2(ty - y, tx - x) + 0.06 * gaussian(random),
    scale: (0.02 * focalPx) / depth,
    local: [dot(to, tangent), dot(to, side), dot(to, normal)],
  };
}

/** Whether the subject stands between a spot and the camera. */
function isHidden(at: Vec3, view: Vec3): boolean {
  for (let s = 0.02; s < 1; s += 0.04) {
    const [x, y, z] = at.map((c, i) => c + s * view[i]);
    if (x * x + y * y < HIDING.radius ** 2 && z > HIDING.low && z < HIDING.high) return true;
  }
  return false;
}

/** How each bit of a descriptor changes with the side that a pattern is seen from. */
interface Pattern {
  readonly frequency: Float64Array;
  readonly phase: Float64Array;
}

function patternOf(patterns: Map<number, Pattern>, id: number): Pattern {
  let pattern = patterns.get(id);
  if (!pattern) {
    const random = randomSource(id * 2654435761 + 17);
    pattern = {
      frequency: Float64Array.from({ length: 3 * BITS }, () => gaussian(random)),
      phase: Float64Array.from({ length: BITS }, () => 2 * Math.PI * random()),
    };
    patterns.set(id, pattern);
  }
  return pattern;
}

function describeSpot(
  { frequency, phase }: Pattern,
  [x, y, z]: Vec3,
  random: () => number,
  change: number,
  out: Uint32Array,
  at: number,
): void {
  for (let bit = 0; bit < BITS; bit++) {
    const f = 3 * bit;
    const angle = change * (frequency[f] * x + frequency[f + 1] * y + frequency[f + 2] * z) + phase[bit];
    // The last bit is the spot's polarity, which nothing changes.
    const own = bit === BITS - 1 ? phase[bit] < Math.PI : Math.cos(angle) > 0 !== random() < FLIPPED;
    if (own) out[at + (bit >> 5)] |= 1 << (bit & 31);
  }
}

/** Spots on the wall of an upright round or square can, its print repeated `copies` times around, and some on its lid. */
export function can(
  random: () => number,
  options: { spots: number; copies: number; square?: boolean; repeatedRatio?: number; firstPattern?: number },
): Spot[] {
  const { spots, copies, square = false, repeatedRatio = 1, firstPattern = 0 } = options;
  const found: Spot[] = [];
  let pattern = firstPattern;
  const put = (angle: number, z: number, own: number, relief: number): void => {
    found.push({ ...wallAt(angle, z, square, relief), tangent: [0, 0, 1], pattern: own, subject: true });
  };
  for (let k = 0; k < Math.round(spots / copies); k++) {
    const [angle, z, relief] = [
      ((2 * Math.PI) / copies) * random(),
      -1 + 2 * random(),
      0.02 * gaussian(random),
    ];
    const repeated = random() < repeatedRatio;
    for (let copy = 0; copy < copies; copy++)
      put(
        angle + (2 * Math.PI * copy) / copies,
        z,
        repeated || copy === 0 ? (copy === 0 ? ++pattern : pattern) : ++pattern,
        relief,
      );
  }
  for (let k = 0; k < 0.1 * spots; k++) {
    const [r, angle] = [0.5 * Math.sqrt(random()), 2 * Math.PI * random()];
    found.push({
      at: [r * Math.cos(angle), r * Math.sin(angle), 1],
      normal: [0, 0, 1],
      tangent: [1, 0, 0],
      pattern: ++pattern,
      subject: true,
    });
  }
  return found;
}

function wallAt(angle: number, z: number, square: boolean, relief: number): Pick<Spot, "at" | "normal"> {
  if (!square) {
    const normal = [Math.cos(angle), Math.sin(angle), 0];
    return { at: [(0.6 + relief) * normal[0], (0.6 + relief) * normal[1], z], normal };
  }
  const side = Math.floor(angle / (Math.PI / 2) + 0.5) * (Math.PI / 2);
  const along = (angle - side) / (Math.PI / 4);
  const normal = [Math.cos(side), Math.sin(side), 0];
  const out = 0.55 + relief;
  return {
    at: [out * normal[0] - 0.55 * along * normal[1], out * normal[1] + 0.55 * along * normal[0], z],
    normal,
  };
}

/** Spots of a table top, none alike. */
export function table(random: () => number, spots: number, firstPattern: number, turns = false): Spot[] {
  return Array.from({ length: spots }, (_, k) => {
    const [r, angle, tilt] = [
      0.65 + 1.6 * Math.sqrt(random()),
      2 * Math.PI * random(),
      2 * Math.PI * random(),
    ];
    return {
      at: [r * Math.cos(angle), r * Math.sin(angle), -1],
      normal: [0, 0, 1],
      tangent: [Math.cos(tilt), Math.sin(tilt), 0],
      pattern: firstPattern + k,
      subject: turns,
    };
  });
}

/** Spots of a room's far wall behind the subject, seen from a camera at azimuth 0. */
export function room(random: () => number, spots: number, firstPattern: number): Spot[] {
  return Array.from({ length: spots }, (_, k) => {
    const depth = -4 - 3 * random();
    return {
      at: [depth, 14 * (random() - 0.5), -4 + 7 * random()],
      normal: unit([1, 0, 0.2]),
      tangent: [0, 1, 0],
      pattern: firstPattern + k,
      subject: false,
    };
  });
}
