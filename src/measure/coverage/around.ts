import type { FocalSource, UpSource } from "../../types/around.js";
import { type SolvedCameras, solveCameras } from "../poses/solve-cameras.js";
import type { AroundPair, AroundPhoto } from "../poses/solved-set.js";
import type { CoverageOptions } from "./coverage.js";
import { type PartMeasures, partOf } from "./part.js";
import { type Unplaced, unplacedPhotos } from "./unplaced.js";

export interface AroundMeasures {
  /** Connected components, largest first. Between two of them no angle is known. */
  readonly parts: readonly PartMeasures[];
  /** In the order of their numbers. */
  readonly unplaced: readonly Unplaced[];
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

/** Where the cameras stood around the subject, and which views are missing. */
export function measureAround(
  photos: readonly AroundPhoto[],
  pairs: readonly AroundPair[],
  options: AroundOptions = {},
): AroundMeasures {
  return describeAround(solveCameras(photos, pairs), options);
}

/** What the places of the cameras cover of the way round the subject. */
export function describeAround(solved: SolvedCameras, options: AroundOptions): AroundMeasures {
  const { intrinsics, set, lens, focalSource, focalFactor, undecided } = solved;
  const parts = solved.parts.map((part) =>
    partOf(undecided ? { ...part, cameras: [] } : part, intrinsics, set, lens, options),
  );
  return {
    parts,
    unplaced: unplacedPhotos(parts, solved),
    focalSource,
    focalFactor,
    upSource: parts.find((part) => part.upSource)?.upSource ?? "none",
    ...(options.turnedSubject === undefined ? {} : { turnedSubject: options.turnedSubject }),
  };
}
