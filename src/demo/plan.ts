import { type Camera, focalPxOf, lookAt, turnCamera } from "./camera.js";
import { isFraming, misframe } from "./framing.js";
import type { Fault, RingOptions, SetOptions } from "./options.js";
import { subjectMesh } from "./outline.js";
import { makeProp } from "./props/index.js";
import { createRandom, mixSeed, type Random } from "./random.js";
import { type Part, subjectBall, turnPart } from "./scene.js";
import { add, degrees, radians, subtract, type Vector3 } from "./vector.js";

/** One photo to be taken. */
export interface PhotoPlan {
  readonly file: string;
  /** Upright picture, in the room. */
  readonly camera: Camera;
  /** EXIF orientation: 1, or 6 or 8 for a phone held upright. */
  readonly orientation: 1 | 6 | 8;
  readonly ring: number;
  /** Place along the walk that `SetOptions.faults` counts by. */
  readonly walkIndex: number;
  /** Where the camera stood around the subject: clockwise seen from above, and above its middle. */
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
  /** How far the subject was turned before this photo, anticlockwise seen from above; 0 on a walk. */
  readonly subjectTurnDeg: number;
  readonly faults: readonly Fault[];
  /** Natural softness, px at 1920. */
  readonly softnessPx: number;
  /** Exposure change that is part of the camera's own choice and said by EXIF, stops. */
  readonly ownExposureStops: number;
  readonly noiseSeed: number;
  /** Milliseconds of local time. */
  readonly capturedMs: number;
}

export interface SetPlan {
  readonly options: SetOptions;
  readonly subjectCentre: Vector3;
  readonly subjectRadiusM: number;
  /** In capture order. */
  readonly photos: readonly PhotoPlan[];
}

/** Where the walk is before hands and faults come in. */
interface Stand {
  readonly ring: number;
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
  readonly distanceM: number;
}

const localStartMs = Date.UTC(2026, 4, 1, 14, 3, 22, 450);

function ringStands(options: SetOptions, ring: RingOptions, index: number, fitM: number): Stand[] {
  const closed = Math.abs(ring.spanDeg) >= 360;
  const steps = closed ? ring.photos : Math.max(1, ring.photos - 1);
  const stands: Stand[] = [];
  for (let i = 0; i < ring.photos; i++) {
    const azimuthDeg = ring.startDeg + (i * ring.spanDeg) / steps;
    const skipped = options.skippedArcs.some(
      (arc) => arc.ring === index && within(azimuthDeg, arc.fromDeg, arc.toDeg),
    );
    if (skipped) continue;
    stands.push({
      ring: index,
      azimuthDeg,
      elevationDeg: ring.elevationDeg,
      distanceM: ring.distanceM ?? fitM,
    });
  }
  return stands;
}

/** Whether a direction lies clockwise between two others, both ends included. */
function within(azimuthDeg: number, fromDeg: number, toDeg: number): boolean {
  const turn = (angle: number): number => ((angle % 360) + 360) % 360;
  return turn(azimuthDeg - fromDeg) <= turn(toDeg - fromDeg);
}

/** Offset of a camera from the subject: azimuth 0 is +y and grows clockwise seen from above. */
function offsetOf(azimuthDeg: number, elevationDeg: number, distanceM: number): Vector3 {
  const azimuth = radians(azimuthDeg);
  const elevation = radians(elevationDeg);
  return [
    distanceM * Math.sin(azimuth) * Math.cos(elevation),
    distanceM * Math.cos(azimuth) * Math.cos(elevation),
    distanceM * Math.sin(elevation),
  ];
}

interface Shot {
  readonly camera: Camera;
  readonly orientation: 1 | 6 | 8;
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
  readonly subjectTurnDeg: number;
  readonly softnessPx: number;
  readonly ownExposureStops: number;
}

/** Takes aim with an unsteady hand. Draws the same number of random values whatever the options. */
function takeShot(
  options: SetOptions,
  stand: Stand,
  ring: RingOptions,
  middle: Vector3,
  random: Random,
): Shot {
  const { jitter } = options;
  const azimuth = stand.azimuthDeg + jitter.azimuthDeg * random.normal();
  const elevation = Math.min(88, stand.elevationDeg + jitter.elevationDeg * random.normal());
  const distance = stand.distanceM * Math.exp(jitter.distanceRatio * random.normal());
  const right = radians(jitter.aimDeg * random.normal());
  const down = radians(jitter.aimDeg * random.normal());
  const roll = radians(jitter.rollDeg * random.normal());
  const portrait = random.uniform() < options.portraitShare;
  const usualHand = random.uniform() < 0.8;
  const orientation = !portrait ? 1 : usualHand ? 6 : 8;
  const softnessPx = jitter.softnessPx * Math.abs(random.normal());
  const ownExposureStops = jitter.exposureStops * random.normal();

  const turned = options.walk === "turned";
  // A prop is turned about its own foot, so the still camera aims at that axis.
  const target: Vector3 = turned ? [0, 0, middle[2]] : middle;
  const subjectTurnDeg = turned ? azimuth - ring.startDeg : 0;
  const centre = add(
    target,
    offsetOf(
      turned ? ring.startDeg : azimuth,
      turned ? stand.elevationDeg : elevation,
      turned ? stand.distanceM : distance,
    ),
  );
  const widthPx = portrait ? options.heightPx : options.widthPx;
  const heightPx = portrait ? options.widthPx : options.heightPx;
  const still = turned ? 0.1 : 1;
  return {
    camera: {
      widthPx,
      heightPx,
      focalPx: focalPxOf(options.focalLength35Mm, widthPx, heightPx),
      centre,
      rotation: turnCamera(lookAt(centre, target), right * still, down * still, roll * still),
    },
    orientation,
    azimuthDeg: azimuth,
    elevationDeg: turned ? stand.elevationDeg : elevation,
    subjectTurnDeg,
    softnessPx,
    ownExposureStops,
  };
}

const isAdded = (fault: Fault): boolean =>
  fault.kind === "stray" || fault.kind === "twin" || fault.kind === "retake";

type Draft = Omit<PhotoPlan, "file" | "capturedMs" | "noiseSeed">;

/** Zoom is a matter of the lens, so it belongs to the camera. */
function zoomed(shot: Shot, faults: readonly Fault[]): Shot {
  const factor = faults.reduce(
    (product, fault) => (fault.kind === "zoom" ? product * fault.factor : product),
    1,
  );
  return factor === 1 ? shot : { ...shot, camera: { ...shot.camera, focalPx: shot.camera.focalPx * factor } };
}

/** The shot after the faults that a picture's frame shows. */
function framed(shot: Shot, faults: readonly Fault[], prop: readonly Part[], middle: Vector3): Shot {
  const framing = faults.filter(isFraming);
  if (framing.length === 0) return shot;
  const mesh = subjectMesh(prop.map((part) => turnPart(part, radians(shot.subjectTurnDeg))));
  return { ...shot, camera: misframe(shot.camera, mesh, middle, framing) };
}

function fileNames(count: number, options: SetOptions): string[] {
  const numbers = Array.from({ length: count }, (_, i) => i + 1);
  if (options.naming === "shuffled") {
    const random = createRandom(options.seed, 71);
    for (let i = count - 1; i > 0; i--) {
      const j = random.below(i + 1);
      [numbers[i], numbers[j]] = [numbers[j], numbers[i]];
    }
  }
  return numbers.map((number) => `IMG_${String(number).padStart(4, "0")}.jpg`);
}

/** Times of a person who steps, aims and shoots, walks to the next ring, and comes back for retakes. */
function captureTimes(drafts: readonly Draft[], options: SetOptions): number[] {
  const random = createRandom(options.seed, 72);
  let at = localStartMs;
  return drafts.map((draft, i) => {
    const pause = random.between(2200, 5200);
    const previous = drafts[i - 1];
    if (previous !== undefined) {
      at += pause;
      if (previous.ring !== draft.ring) at += 11_000;
      if (draft.faults.some((fault) => fault.kind === "retake")) at += 20_000;
    }
    return Math.round(at / 10) * 10;
  });
}

/**
 * Works out every photo of a set: where the camera stands, what is wrong, names and times. Nothing is drawn.
 *
 * Each photo of the walk draws from a random sequence of its own, so that faults and skipped arcs move no other.
 *
 * @throws RangeError where a fault names a photo that is not on the walk.
 */
export function planSet(options: SetOptions): SetPlan {
  const prop = makeProp(options.subject, options.seed, options.material, options.subjectSize);
  const { centre: middle, radius } = subjectBall(prop);
  const shortSidePx = Math.min(options.widthPx, options.heightPx);
  const focalPx = focalPxOf(options.focalLength35Mm, options.widthPx, options.heightPx);
  const fitM = (2 * radius * focalPx) / (options.fillRatio * shortSidePx);
  const stands = options.rings.flatMap((ring, i) => ringStands(options, ring, i, fitM));
  for (const { photo, fault } of options.faults) {
    if (!Number.isInteger(photo) || photo < 0 || photo >= stands.length) {
      throw new RangeError(
        `fault "${fault.kind}" is on photo ${photo}, but the walk has photos 0 to ${stands.length - 1}`,
      );
    }
  }

  const drafts: Draft[] = [];
  const late: Draft[] = [];
  stands.forEach((stand, walkIndex) => {
    const ring = options.rings[stand.ring];
    // The direction, not the place in the list, picks the sequence: skipping an arc leaves the others alone.
    const salt = [options.seed, 73, stand.ring, Math.round(stand.azimuthDeg * 1000)];
    const faults = options.faults
      .filter((placed) => placed.photo === walkIndex)
      .map((placed) => placed.fault);
    const common = { ring: stand.ring, walkIndex };
    const shoot = (extra: number): Shot =>
      takeShot(options, stand, ring, middle, createRandom(...salt, extra));
    const own = faults.filter((fault) => !isAdded(fault));
    const shot = framed(zoomed(shoot(0), own), own, prop, middle);
    drafts.push({ ...common, ...shot, faults: own });
    for (const fault of faults) {
      if (fault.kind === "twin") drafts.push({ ...common, ...shot, faults: [...own, fault] });
      if (fault.kind === "retake") late.push({ ...common, ...shoot(1), faults: [fault] });
      if (fault.kind === "stray")
        drafts.push({ ...common, ...strayShot(options, fault.subject, salt), faults: [fault] });
    }
  });
  const all = [...drafts, ...late];
  const names = fileNames(all.length, options);
  const times = captureTimes(all, options);
  return {
    options,
    subjectCentre: middle,
    subjectRadiusM: radius,
    photos: all.map((draft, i) => ({
      ...draft,
      file: names[i],
      capturedMs: times[i],
      noiseSeed: mixSeed(options.seed, 74, i),
    })),
  };
}

/** What a stray photo shows: another prop, in another place, under the same phone. */
export function strayScene(options: SetOptions, subject: SetOptions["subject"]): SetOptions {
  return {
    ...options,
    seed: mixSeed(options.seed, 0x57a7),
    subject,
    material: "matt",
    background: "store",
    lamps: "overcast",
    walk: "around",
  };
}

function strayShot(options: SetOptions, subject: SetOptions["subject"], salt: readonly number[]): Shot {
  const other = strayScene(options, subject);
  const { centre, radius } = subjectBall(makeProp(subject, other.seed, other.material, other.subjectSize));
  const random = createRandom(...salt, 2);
  const stand: Stand = {
    ring: 0,
    azimuthDeg: random.between(0, 360),
    elevationDeg: random.between(10, 35),
    distanceM: 5 * radius,
  };
  const ring: RingOptions = { elevationDeg: stand.elevationDeg, photos: 1, startDeg: 0, spanDeg: 360 };
  return takeShot(other, stand, ring, centre, random);
}

/** Direction of a place around the subject's middle: clockwise seen from above from +y, and above the horizon. */
export function directionOf(from: Vector3, middle: Vector3): { azimuthDeg: number; elevationDeg: number } {
  const [x, y, z] = subtract(from, middle);
  const azimuth = degrees(Math.atan2(x, y));
  return { azimuthDeg: (azimuth + 360) % 360, elevationDeg: degrees(Math.atan2(z, Math.hypot(x, y))) };
}
