import type { FocalSource } from "../../types/around.js";
import { findFocal } from "./find-focal.js";
import { ASSUMED_FOCAL_LENGTH_35_MM, type Intrinsics } from "./intrinsics.js";
import { judgeLens, type Lens, type MeasuredFocal, UNKNOWN_LENS } from "./lens.js";
import { FEWEST_PLACED, type PlacedPart } from "./placed.js";
import {
  MOST_REFINED,
  type RefinedSet,
  type RefineSetOptions,
  type RoughPart,
  refineSet,
} from "./refine-set.js";
import {
  type AroundPair,
  type AroundPhoto,
  isLink,
  type SolvedSet,
  solveSet,
  statedCamera,
  withFocal,
} from "./solved-set.js";
import { posesOfWindows } from "./window-poses.js";
import { isNarrow } from "./windows.js";

/** The cameras of all photos, each part in a world of its own. */
export interface SolvedCameras {
  /** Connected components of the photos, largest first. */
  readonly parts: readonly PlacedPart[];
  /** One a photo, as used: corrected where the focal length was measured. */
  readonly intrinsics: readonly Intrinsics[];
  /** The links and how well they agree. */
  readonly set: SolvedSet;
  readonly lens: Lens;
  readonly focalSource: FocalSource;
  /** Focal lengths used over those stated (or assumed): 1 unless measured. */
  readonly focalFactor: number;
}

/** Fewest photos from which a focal length is measured. */
const FEWEST_FOR_FOCAL = 8;
/** A focal length further off (in its logarithm) bends the pairs' own poses so much that they are made anew. */
const WORTH_SOLVING_AGAIN = 0.05;
/** Cameras refined with a focal length this near to the one chosen need not be refined again. */
const ALIKE = 0.01;

/**
 * Where the cameras stood: all photos are placed by the poses of their pairs, then refined together with the points they
 * share, which also tell when the stated focal length is wrong.
 */
export function solveCameras(photos: readonly AroundPhoto[], pairs: readonly AroundPair[]): SolvedCameras {
  const known = photos.filter(({ focalLength35Mm }) => focalLength35Mm !== undefined).length / photos.length;
  if (known > 0 || photos.length < FEWEST_FOR_FOCAL)
    return solveWith(photos, pairs, (measured) => judgeLens(measured, known));
  const focalLength35Mm = findFocal(photos, pairs);
  if (focalLength35Mm === undefined) return solveWith(photos, pairs, () => UNKNOWN_LENS);
  const solved = solveWith(
    photos.map(({ features }) => ({ features, focalLength35Mm })),
    // Their poses were made with the focal length assumed.
    pairs.map(({ pose: _, ...pair }) => pair),
    (measured) => judgeLens(measured, 0),
  );
  const focalFactor = (solved.focalFactor * focalLength35Mm) / ASSUMED_FOCAL_LENGTH_35_MM;
  return { ...solved, focalSource: "measured", focalFactor };
}

/** @param judge says which lens to go by once the photos, solved with the stated one, have told theirs. */
function solveWith(
  photos: readonly AroundPhoto[],
  pairs: readonly AroundPair[],
  judge: (measured: MeasuredFocal | undefined) => Lens,
): SolvedCameras {
  const stated = photos.map(statedCamera);
  const narrow = isNarrow(photos, pairs.filter(isLink), stated);
  const first = solveSet(photos, narrow ? posesOfWindows(photos, pairs, stated) : pairs, stated);
  const refine = { fewest: FEWEST_FOR_FOCAL, freeFocal: true, fromAfar: narrow };
  const free = refinePart(photos, first, stated, first.parts[0] ?? [], refine);
  const lens = judge(free?.bundle);
  const cameras = stated.map((c) => ({ ...c, focalPx: c.focalPx * lens.factor }));
  const alike = free !== undefined && isAlike(free, lens);
  // In a narrow view the turns hang little on the focal length.
  const again = Math.abs(Math.log(lens.factor)) > WORTH_SOLVING_AGAIN && !(narrow && alike);
  const set = again
    ? solveSet(
        photos,
        pairs.map((pair) => withFocal(pair, lens.factor)),
        cameras,
      )
    : first;
  const reused = !again && alike ? free : undefined;
  const parts = set.parts.map((part, k) =>
    placePart(photos, set, cameras, part, narrow, k === 0 ? reused : undefined),
  );
  return { parts, intrinsics: cameras, set, lens, focalSource: lens.source, focalFactor: lens.factor };
}

function isAlike({ bundle }: RefinedSet, lens: Lens): boolean {
  return Math.abs(Math.log(bundle.focalFactor / lens.factor)) < ALIKE;
}

function refinePart(
  photos: readonly AroundPhoto[],
  set: SolvedSet,
  cameras: readonly Intrinsics[],
  part: readonly number[],
  { fewest, freeFocal, fromAfar }: { fewest: number; freeFocal: boolean; fromAfar: boolean },
): RefinedSet | undefined {
  if (part.length < fewest) return undefined;
  const points = photos.map(({ features }) => features);
  const rough = { photos: part, rotations: set.rotations, centres: set.centres };
  const refine = (from: RoughPart, options: Omit<RefineSetOptions, "limit">) =>
    refineSet(points, cameras, set.links, from, { limit: set.limit, ...options });
  if (!fromAfar) return refine(rough, { freeFocal });
  // What is still bent would pull a free focal length along.
  const held = refine(rough, { freeFocal: false, fromAfar });
  if (!freeFocal || !held) return held;
  const [rotations, centres] = [[...set.rotations], [...set.centres]];
  held.refined.forEach((photo, k) => {
    rotations[photo] = held.bundle.cameras[k].rotation;
    centres[photo] = held.bundle.cameras[k].centre;
  });
  return refine({ photos: part, rotations, centres }, { freeFocal });
}

/** Cameras of a part, refined together where that is possible. */
function placePart(
  photos: readonly AroundPhoto[],
  set: SolvedSet,
  cameras: readonly Intrinsics[],
  part: readonly number[],
  fromAfar: boolean,
  already: RefinedSet | undefined,
): PlacedPart {
  const refine = { fewest: FEWEST_PLACED, freeFocal: false, fromAfar };
  const found = already ?? refinePart(photos, set, cameras, part, refine);
  const whole = part.length <= MOST_REFINED ? found?.bundle : undefined;
  return {
    photos: part,
    cameras: part.map((photo, k) => {
      const depth = whole?.depths[k] ?? set.depths[photo];
      const place = whole?.cameras[k] ?? { rotation: set.rotations[photo], centre: set.centres[photo] };
      return { photo, ...place, ...(depth === undefined ? {} : { depth }) };
    }),
    points: found?.bundle.points ?? new Float64Array(0),
  };
}
