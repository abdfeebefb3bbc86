import type { Fault, SkippedArc } from "./options.js";
import { directionOf, type PhotoPlan, type SetPlan } from "./plan.js";
import { apply, type Matrix3, multiply, radians, rotationAbout, type Vector3 } from "./vector.js";

/** Grows when the renderer draws the same options differently: an older set is rendered again. */
export const demoVersion = 2;

/** What is true of one photo. All of it is about the upright picture. */
export interface PhotoTruth {
  readonly file: string;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly orientation: number;
  readonly ring: number;
  /** Metres, in the subject's frame: z up. In a stray photo, in its own scene. */
  readonly cameraCentre: Vector3;
  /** World (the subject's frame) to camera, row-major; camera x right, y down, z forward. */
  readonly rotation: Matrix3;
  /** Around the middle of the subject, clockwise seen from above, 0 to 360; absent in a stray photo. */
  readonly azimuthDeg?: number;
  readonly elevationDeg?: number;
  readonly focalPx: number;
  /** Pixel (0, 0) has its centre at (0, 0). */
  readonly principalPx: readonly [number, number];
  /** How far the subject was turned before the photo, anticlockwise seen from above, degrees. */
  readonly subjectTurnDeg: number;
  readonly faults: readonly Fault[];
}

/** Contents of truth.json. */
export interface Truth {
  readonly version: number;
  readonly seed: number;
  readonly intrinsics: {
    readonly widthPx: number;
    readonly heightPx: number;
    readonly focalPx: number;
    readonly focalLength35Mm: number;
  };
  readonly subject: string;
  readonly material: string;
  readonly background: string;
  readonly lamps: string;
  readonly walk: string;
  readonly subjectCentre: Vector3;
  readonly subjectRadiusM: number;
  readonly up: Vector3;
  readonly skippedArcs: readonly SkippedArc[];
  /** In capture order. */
  readonly photos: readonly PhotoTruth[];
}

function photoTruth(plan: SetPlan, photo: PhotoPlan): PhotoTruth {
  const { camera } = photo;
  // Turning the subject one way is walking around it the other way.
  const back = radians(-photo.subjectTurnDeg);
  const centre = apply(rotationAbout("z", back), camera.centre);
  const rotation = multiply(camera.rotation, rotationAbout("z", -back));
  const stray = photo.faults.some((fault) => fault.kind === "stray");
  return {
    file: photo.file,
    widthPx: camera.widthPx,
    heightPx: camera.heightPx,
    orientation: photo.orientation,
    ring: photo.ring,
    cameraCentre: centre,
    rotation,
    ...(stray ? {} : directionOf(centre, plan.subjectCentre)),
    focalPx: camera.focalPx,
    principalPx: [(camera.widthPx - 1) / 2, (camera.heightPx - 1) / 2],
    subjectTurnDeg: photo.subjectTurnDeg,
    faults: photo.faults,
  };
}

/** The truth about a set, as written beside it. */
export function truthOf(plan: SetPlan): Truth {
  const { options } = plan;
  const diagonal = Math.hypot(options.widthPx, options.heightPx);
  return {
    version: demoVersion,
    seed: options.seed,
    intrinsics: {
      widthPx: options.widthPx,
      heightPx: options.heightPx,
      focalPx: (options.focalLength35Mm / Math.hypot(36, 24)) * diagonal,
      focalLength35Mm: options.focalLength35Mm,
    },
    subject: options.subject,
    material: options.material,
    background: options.background,
    lamps: options.lamps,
    walk: options.walk,
    subjectCentre: plan.subjectCentre,
    subjectRadiusM: plan.subjectRadiusM,
    up: [0, 0, 1],
    skippedArcs: options.skippedArcs,
    photos: plan.photos.map((photo) => photoTruth(plan, photo)),
  };
}
