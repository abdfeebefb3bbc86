import type { FocalSource, UpSource } from "../../types.js";
import type { CoverageOptions } from "./coverage.js";
import type { Intrinsics } from "./intrinsics.js";
import { judgeLens, type Lens } from "./lens.js";
import { FEWEST_PLACED, type PartMeasures, type PlacedPart, partOf } from "./part.js";
import { MOST_REFINED, type RefinedSet, refineSet } from "./refine-set.js";
import {
  type AroundPair,
  type AroundPhoto,
  type SolvedSet,
  solveSet,
  statedCamera,
  withFocal,
} from "./solved-set.js";

export type { CameraMeasures, PartMeasures, PartSolution, SolvedCamera } from "./part.js";
export { type AroundPair, type AroundPhoto, pairPose } from "./solved-set.js";

export interface AroundMeasures {
  /** Photos that hang together, largest part first. Between parts there is no known angle. */
  readonly parts: readonly PartMeasures[];
  readonly focalSource: FocalSource;
  /** Focal lengths used over those stated (or assumed): 1 unless measured. */
  readonly focalFactor: number;
  /** Of the largest part that could be placed. */
  readonly upSource: UpSource | "none";
  /** Whether the subject was turned before a camera at rest; undefined where that was not asked. */
  readonly turnedSubject?: boolean;
}

export interface AroundOptions extends Partial<CoverageOptions> {
  /** The answer of the far pairs (turned-subject.ts); the matches must then be the moving ones only. */
  readonly turnedSubject?: boolean | undefined;
}

/** Fewest photos from which a focal length is measured. */
const FEWEST_FOR_FOCAL = 8;
/** A focal length further off (in its logarithm) bends the pairs' own poses so much that they are made anew. */
const WORTH_SOLVING_AGAIN = 0.05;
/** Cameras refined with a focal length this near to the one chosen need not be refined again. */
const ALIKE = 0.01;

/**
 * Where the cameras stood around the subject, and which views are missing: all photos are placed by the poses of their
 * pairs, then refined together with the points they share, which also tell when the stated focal length is wrong.
 */
export function measureAround(
  photos: readonly AroundPhoto[],
  pairs: readonly AroundPair[],
  options: AroundOptions = {},
): AroundMeasures {
  const stated = photos.map(statedCamera);
  const known = photos.filter(({ focalLength35Mm }) => focalLength35Mm !== undefined).length / photos.length;
  const first = solveSet(photos, pairs, stated);
  const free = refinePart(photos, first, stated, first.parts[0] ?? [], FEWEST_FOR_FOCAL, true);
  const lens = judgeLens(free?.bundle, known);
  const cameras = stated.map((c) => ({ ...c, focalPx: c.focalPx * lens.factor }));
  const again = Math.abs(Math.log(lens.factor)) > WORTH_SOLVING_AGAIN;
  const set = again
    ? solveSet(
        photos,
        pairs.map((pair) => withFocal(pair, lens.factor)),
        cameras,
      )
    : first;
  const reused = free && !again && isAlike(free, lens) ? free : undefined;
  const parts = set.parts.map((part, k) => {
    const placed = placePart(photos, set, cameras, part, k === 0 ? reused : undefined);
    return partOf(placed, cameras, set, lens, options);
  });
  return {
    parts,
    focalSource: lens.source,
    focalFactor: lens.factor,
    upSource: parts.find((part) => part.upSource)?.upSource ?? "none",
    ...(options.turnedSubject === undefined ? {} : { turnedSubject: options.turnedSubject }),
  };
}

function isAlike({ bundle }: RefinedSet, lens: Lens): boolean {
  return Math.abs(Math.log(bundle.focalFactor / lens.factor)) < ALIKE;
}

function refinePart(
  photos: readonly AroundPhoto[],
  set: SolvedSet,
  cameras: readonly Intrinsics[],
  part: readonly number[],
  fewest: number,
  freeFocal: boolean,
): RefinedSet | undefined {
  if (part.length < fewest) return undefined;
  return refineSet(
    photos.map(({ features }) => features),
    cameras,
    set.links,
    { photos: part, rotations: set.rotations, centres: set.centres },
    { limit: set.limit, freeFocal },
  );
}

/** Cameras of a part, refined together where that is possible. */
function placePart(
  photos: readonly AroundPhoto[],
  set: SolvedSet,
  cameras: readonly Intrinsics[],
  part: readonly number[],
  already: RefinedSet | undefined,
): PlacedPart {
  const found = already ?? refinePart(photos, set, cameras, part, FEWEST_PLACED, false);
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
