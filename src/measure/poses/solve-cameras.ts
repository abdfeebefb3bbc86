import type { FocalSource } from "../../types/around.js";
import { upperMedian } from "../statistics.js";
import { findFocal } from "./find-focal.js";
import { firmGroups, type Hold, loosenessOf } from "./held.js";
import { ASSUMED_FOCAL_LENGTH_35_MM, type Intrinsics } from "./intrinsics.js";
import { judgeLens, type Lens, type MeasuredFocal, UNKNOWN_LENS } from "./lens.js";
import { contradictedPhotos, holdsOf, type LinkFit, linkFits } from "./link-fit.js";
import { tellApart } from "./look-alikes.js";
import { FEWEST_PLACED, type Placed, type PlacedPart } from "./placed.js";
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
  /** How the matches of all links fit the cameras; none of links between parts. */
  readonly fits: readonly LinkFit[];
  /** Photos that are not placed, since what they share with most others contradicts where they would stand. */
  readonly contradicted: ReadonlySet<number>;
  /** Whether sides of the subject look alike and nothing tells which is which: see {@link tellApart}. */
  readonly undecided: boolean;
  readonly focalSource: FocalSource;
  /** Focal lengths used over those stated (or assumed): 1 unless measured. */
  readonly focalFactor: number;
}

/** Fewest photos from which a focal length is measured. */
const FEWEST_FOR_FOCAL = 8;
/** A focal length further off (in its logarithm) bends the pairs' own poses so much that they are made anew. */
const WORTH_SOLVING_AGAIN = 0.05;
/**
 * Share of the links' matches that cameras explain where the stated focal length is right, or nearly: .92 to .99 on four
 * real sets and on synthetic ones of which 8 in 100 matches are wrong; with one stated a third too short .71 to .91.
 */
const WELL_FITTING = 0.915;
/** What another focal length must explain beyond that to be believed against EXIF: more than chance gives. */
const BETTER_FITTING = 0.005;
/** What hangs on one photo by fewer matches is not placed: they may be a chance likeness, and nothing confirms them. */
const PLACED = { enough: 60, apart: 0 };
/**
 * What fewer matches hold around one place, be it by several links, moves together if they mislead: in two real captures and
 * in subsets of them, 5 in 100 of such photos stood 12 to 17 degrees off; of photos that more hold, under 3
 * (test/evaluate/capture-subsets.ts). Neighbours of neighbours are within three links.
 */
const FIRM = { enough: 100, apart: 3 };
/** Cameras refined with a focal length this near to the one chosen need not be refined again. */
const ALIKE = 0.01;

/**
 * Where the cameras stood: all photos are placed by the poses of their pairs, then refined together with the points they
 * share, which also tell when the stated focal length is wrong.
 */
export function solveCameras(photos: readonly AroundPhoto[], pairs: readonly AroundPair[]): SolvedCameras {
  const known = photos.filter(({ focalLength35Mm }) => focalLength35Mm !== undefined).length / photos.length;
  if (photos.length < FEWEST_FOR_FOCAL)
    return solveWith(photos, pairs, (measured) => judgeLens(measured, known));
  if (known === 0) return solveFound(photos, pairs) ?? solveWith(photos, pairs, () => UNKNOWN_LENS);
  const stated = solveWith(photos, pairs, (measured) => judgeLens(measured, known));
  if (fitRatio(stated) >= WELL_FITTING && !stated.undecided) return stated;
  // Cropping or zooming after the fact leaves EXIF as it was: the photos may know better.
  const found = solveFound(photos, pairs);
  return found !== undefined && fitRatio(found) > fitRatio(stated) + BETTER_FITTING ? found : stated;
}

/** Share of the matches of all links that the cameras explain; those of a set that falls apart count as not explained. */
function fitRatio({ fits, set, undecided }: SolvedCameras): number {
  const matches = set.tried.reduce((sum, link) => sum + link.matches, 0);
  return undecided || matches === 0 ? 0 : fits.reduce((sum, { fitting }) => sum + fitting, 0) / matches;
}

/** All photos solved with the focal length that they tell themselves; undefined where they do not tell. */
function solveFound(photos: readonly AroundPhoto[], pairs: readonly AroundPair[]): SolvedCameras | undefined {
  const focalLength35Mm = findFocal(photos, pairs);
  if (focalLength35Mm === undefined) return undefined;
  const solved = solveWith(
    photos.map(({ features }) => ({ features, focalLength35Mm })),
    // Their poses were made with the focal length assumed.
    pairs.map(({ pose: _, ...pair }) => pair),
    (measured) => judgeLens(measured, 0),
  );
  const stated = upperMedian(photos.map((photo) => photo.focalLength35Mm ?? ASSUMED_FOCAL_LENGTH_35_MM));
  const focalFactor = (solved.focalFactor * focalLength35Mm) / stated;
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
  const posedPairs = narrow ? posesOfWindows(photos, pairs, stated) : pairs;
  const apart = tellApart(photos, posedPairs, stated, solveSet(photos, posedPairs, stated));
  const first = apart.set;
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
        apart.pairs.map((pair) => withFocal(pair, lens.factor)),
        cameras,
      )
    : first;
  const reused = !again && alike ? free : undefined;
  const parts = set.parts.map((part, k) =>
    placePart(photos, set, cameras, part, narrow, k === 0 ? reused : undefined),
  );
  const fits = parts.flatMap((part) => fitsWithin(photos, apart.pairs, cameras, part));
  const { undecided } = apart;
  const contradicted = contradictedPhotos(photos.length, set, fits);
  const holds = holdsOf(set, fits);
  const agreeing = parts.map((part) => {
    const left = part.photos.filter((photo) => !contradicted.has(photo));
    return onlyPhotos(part, firmGroups(left, holds, PLACED)[0] ?? [], holds);
  });
  return {
    parts: agreeing,
    contradicted,
    intrinsics: cameras,
    set,
    lens,
    fits,
    undecided,
    focalSource: lens.source,
    focalFactor: lens.factor,
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
    k1: found?.bundle.k1 ?? 0,
    holds: [],
  };
}

/** How the links between photos of a part fit its cameras. */
function fitsWithin(
  photos: readonly AroundPhoto[],
  pairs: readonly AroundPair[],
  intrinsics: readonly Intrinsics[],
  { cameras, k1 }: PlacedPart,
): LinkFit[] {
  const placed = photos.map((): Placed | undefined => undefined);
  for (const camera of cameras) placed[camera.photo] = camera;
  return linkFits(photos, pairs.filter(isLink), intrinsics, placed, k1);
}

/** A part with only these of its cameras, each with how loosely the others hold it, and the firm group that it belongs to. */
function onlyPhotos(part: PlacedPart, staying: readonly number[], holds: readonly Hold[]): PlacedPart {
  const looseness = new Map(loosenessOf(staying, holds).map((one, k) => [staying[k], one]));
  const groups = firmGroups(staying, holds, FIRM);
  const groupOf = new Map(groups.flatMap((own, group) => own.map((photo) => [photo, group])));
  return {
    ...part,
    holds,
    cameras: part.cameras.flatMap((camera) => {
      const [own, group] = [looseness.get(camera.photo), groupOf.get(camera.photo)];
      return own === undefined || group === undefined ? [] : [{ ...camera, looseness: own, group }];
    }),
  };
}
