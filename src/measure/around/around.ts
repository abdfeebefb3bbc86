import type { FocalSource } from "../../types.js";
import { medianOf } from "../differences.js";
import type { Correspondences } from "../geometry/essential.js";
import { addScaled, length, type Mat3, type Vec3 } from "../geometry/vector.js";
import { type Coverage, type CoverageOptions, coverageOf, type PlacedPhoto } from "./coverage.js";
import { directionsAround } from "./directions.js";
import { ASSUMED_FOCAL_LENGTH_35_MM, type Intrinsics, intrinsicsOf } from "./intrinsics.js";
import { levelPlane } from "./level.js";
import { type PositionLink, solvePositions } from "./positions.js";
import { type Points, raysOf } from "./rays.js";
import { MOST_REFINED, type RefinedSet, refineSet } from "./refine-set.js";
import { type RelativePose, relativePose } from "./relative-pose.js";
import { solveRotations } from "./rotations.js";
import { findSubject, type Placed } from "./subject.js";
import { levelled, type UpAxis, upAxis } from "./up.js";

/** What the geometry needs of a photo: keypoints in the upright working picture, and the lens. */
export interface AroundPhoto {
  readonly features: Points & { readonly widthPx: number; readonly heightPx: number };
  /** Focal length with the same diagonal angle of view on 36 x 24 mm, from EXIF; undefined where it has none. */
  readonly focalLength35Mm?: number | undefined;
}

/** Two photos with the matches that two-view geometry confirmed. */
export interface AroundPair {
  readonly i: number;
  readonly j: number;
  /** Index pairs: keypoint of i, keypoint of j, ... */
  readonly inliers: Int32Array;
  /** Confirmed matches over ratio-tested ones, 0 to 1; undefined where unknown. */
  readonly verifiedRatio?: number;
  /** From {@link relativePose}, where it was computed elsewhere (on another thread). */
  readonly pose?: RelativePose;
}

export interface CameraMeasures extends PlacedPhoto {
  /** Standard error of the azimuth, degrees; 0 at the photo that the azimuth is counted from. */
  readonly uncertaintyDeg: number;
}

export interface PartMeasures extends Coverage {
  /** Ascending. */
  readonly photos: readonly number[];
  /** 0 (guesswork) to 1 (every link agrees, the lens is known). */
  readonly confidence: number;
  /** Photos that could be placed, ascending; none in a part of fewer than three. */
  readonly cameras: readonly CameraMeasures[];
  /** What the directions rest on, for measures that need the geometry itself; absent where none could be placed. */
  readonly solution?: PartSolution;
}

/** A part's cameras in a world of its own, whose unit is free: the same for all of them, and no metre. */
export interface PartSolution {
  readonly subjectCentre: Vec3;
  /** Unit length. */
  readonly up: Vec3;
  /** In the order of the part's `cameras`. */
  readonly cameras: readonly SolvedCamera[];
}

export interface SolvedCamera extends Placed {
  readonly photo: number;
  /** Focal length and principal point, px of the upright working picture, as used: corrected where it was measured. */
  readonly intrinsics: Intrinsics;
}

export interface AroundMeasures {
  /** Photos that hang together, largest part first. Between parts there is no known angle. */
  readonly parts: readonly PartMeasures[];
  readonly focalSource: FocalSource;
  /** Focal lengths used over those stated (or assumed): 1 unless measured. */
  readonly focalFactor: number;
  readonly upSource: "photo rolls" | "none";
  /** Whether the subject was turned before a camera at rest; undefined where that was not asked. */
  readonly turnedSubject?: boolean;
}

export interface AroundOptions extends Partial<CoverageOptions> {
  /** Fewest confirmed matches of a link; unrelated pictures give about 11 by chance. */
  readonly fewestMatches?: number;
  /** Smallest confirmed share of a link. */
  readonly smallestRatio?: number;
  /** The answer of the far pairs (turned-subject.ts); the matches must then be the moving ones only. */
  readonly turnedSubject?: boolean | undefined;
  readonly seed?: number;
}

/** The measuring study's settings on two real sets: 64 wrong links of 508 became 1. */
const LINK_DEFAULTS = { fewestMatches: 30, smallestRatio: 0.35, seed: 1 };
/** Distance within which a match fits, px at a long edge of 1000 px. */
const LIMIT_PX = 1.5;
const LIMIT_LONG_EDGE_PX = 1000;
/** Fewest photos that are placed: two have a direction between them, but no size to judge it by. */
const FEWEST_PLACED = 3;

/** Fewest photos from which a focal length is measured. */
const FEWEST_FOR_FOCAL = 8;
/** Standard errors (of the logarithm) of a focal length from EXIF and of the one assumed for a phone. */
const STATED_SIGMA = 0.02;
const ASSUMED_SIGMA = 0.1;
/** What lens distortion and focus breathing leave uncertain however many points agree. */
const SYSTEMATIC_SIGMA = 0.01;
const LARGEST_BELIEVED_SIGMA = 0.04;
const LARGEST_FACTOR = 1.6;
/** A smaller error costs less than the angles' own noise. */
const WORTH_CORRECTING = 0.04;
const TOO_LITTLE = 0.01;

/** Share of a focal length's relative error that stretches the way round: 10 % made 348 degrees of 325. */
const STRETCH = 0.7;
const CLOSED_STRETCH = 0.1;
/** A step around the subject that links well, degrees, and the disagreement that even good links leave. */
const TYPICAL_STEP_DEG = 15;
const LEAST_LINK_ERROR = 0.02;
const DEGREES = 180 / Math.PI;

interface Lens {
  readonly factor: number;
  readonly source: FocalSource;
  /** Standard error of the focal length used, of its logarithm. */
  readonly sigma: number;
  /** The largest part refined with the focal length free, where that changed it too little to matter. */
  readonly refined?: RefinedSet;
}

/** A link ready for the whole-set solution. */
interface Link extends Omit<PositionLink, "translation"> {
  readonly pose: RelativePose;
}

/** Where the cameras stood around the subject, and which views are missing. */
export function measureAround(
  photos: readonly AroundPhoto[],
  pairs: readonly AroundPair[],
  options: AroundOptions = {},
): AroundMeasures {
  const stated = photos.map(statedCamera);
  const known = photos.filter(({ focalLength35Mm }) => focalLength35Mm !== undefined).length / photos.length;
  const first = solveSet(photos, pairs, stated, options);
  const lens = judgeLens(photos, first, stated, known);
  const cameras =
    lens.factor === 1 ? stated : stated.map((c) => ({ ...c, focalPx: c.focalPx * lens.factor }));
  const set =
    lens.factor === 1
      ? first
      : solveSet(
          photos,
          pairs.map(({ pose: _, ...pair }) => pair),
          cameras,
          options,
        );
  const parts = set.parts.map((part, k) =>
    partOf(
      part,
      refined(photos, set, cameras, part, k === 0 ? lens.refined : undefined),
      cameras,
      set,
      lens,
      options,
    ),
  );
  return {
    parts,
    focalSource: lens.source,
    focalFactor: lens.factor,
    upSource: parts.some(({ cameras: some }) => some.length > 0) ? "photo rolls" : "none",
    ...(options.turnedSubject === undefined ? {} : { turnedSubject: options.turnedSubject }),
  };
}

interface SolvedSet {
  readonly parts: readonly (readonly number[])[];
  /** All links, and those that agree. */
  readonly tried: readonly Link[];
  readonly links: readonly PositionLink[];
  readonly rotations: readonly Mat3[];
  readonly centres: readonly Vec3[];
  readonly depths: readonly (number | undefined)[];
  readonly residualRatio: readonly (number | undefined)[];
  readonly limit: number;
}

function solveSet(
  photos: readonly AroundPhoto[],
  pairs: readonly AroundPair[],
  cameras: readonly Intrinsics[],
  options: AroundOptions,
): SolvedSet {
  const tried = linksOf(photos, pairs, cameras, options);
  const { rotations, chosen, used, parts } = solveRotations(
    photos.length,
    tried.map(({ i, j, pose }) => ({
      i,
      j,
      rotations: pose.candidates.map(({ rotation }) => rotation),
      inliers: pose.candidates[0].inliers,
    })),
  );
  const links = tried.flatMap((link, e) =>
    used[e] ? [{ ...link, translation: link.pose.candidates[chosen[e]].translation }] : [],
  );
  const limit = medianOf(links.map((link) => limitOf(photos[link.i], cameras[link.i])));
  return {
    parts,
    tried,
    links,
    rotations,
    limit,
    ...solvePositions(photos.length, rotations, links, { limit }),
  };
}

interface PlacedPart {
  readonly cameras: readonly (Placed & { photo: number })[];
  /** x, y, z of points they share, interleaved; none where they were not refined. */
  readonly points: Float64Array;
}

/** Cameras of a part, refined together where that is possible. */
function refined(
  photos: readonly AroundPhoto[],
  set: SolvedSet,
  intrinsics: readonly Intrinsics[],
  part: readonly number[],
  already: RefinedSet | undefined,
): PlacedPart {
  const cameras = part.map((photo) => cameraOf(photo, set.rotations, set.centres, set.depths));
  const rough = { cameras, points: new Float64Array(0) };
  if (part.length < FEWEST_PLACED || part.length > MOST_REFINED) return rough;
  const found =
    already ??
    refineSet(
      photos.map(({ features }) => features),
      intrinsics,
      set.links,
      { photos: part, rotations: set.rotations, centres: set.centres },
      { limit: set.limit, freeFocal: false },
    );
  if (!found) return rough;
  const { bundle } = found;
  return {
    cameras: bundle.cameras.map((camera, k) => {
      const depth = bundle.depths[k] ?? cameras[k].depth;
      return depth === undefined ? { photo: part[k], ...camera } : { photo: part[k], ...camera, depth };
    }),
    points: bundle.points,
  };
}

/** What the photos themselves say of the focal length, and what is made of it. */
function judgeLens(
  photos: readonly AroundPhoto[],
  set: SolvedSet,
  cameras: readonly Intrinsics[],
  known: number,
): Lens {
  const stated: FocalSource = known === 1 ? "exif" : known === 0 ? "assumed" : "mixed";
  const sigma = known * STATED_SIGMA + (1 - known) * ASSUMED_SIGMA;
  const part = set.parts[0] ?? [];
  const found =
    part.length < FEWEST_FOR_FOCAL
      ? undefined
      : refineSet(
          photos.map(({ features }) => features),
          cameras,
          set.links,
          { photos: part, rotations: set.rotations, centres: set.centres },
          { limit: set.limit, freeFocal: true },
        );
  const measured = found?.bundle;
  if (measured?.focalSigma === undefined) return { factor: 1, source: stated, sigma };
  const own = Math.hypot(measured.focalSigma * 3, SYSTEMATIC_SIGMA);
  const off = Math.abs(Math.log(measured.focalFactor));
  const believed = own < LARGEST_BELIEVED_SIGMA && Math.exp(off) < LARGEST_FACTOR;
  const better = believed && (known === 1 ? off > 3 * own && off > WORTH_CORRECTING : own < sigma);
  if (better) return { factor: measured.focalFactor, source: "measured", sigma: own };
  const judged = { factor: 1, source: stated, sigma: Math.max(sigma, Math.min(off, own)) };
  return off <= TOO_LITTLE ? { ...judged, refined: found as RefinedSet } : judged;
}

function limitOf({ features }: AroundPhoto, camera: Intrinsics): number {
  return (LIMIT_PX * Math.max(features.widthPx, features.heightPx)) / LIMIT_LONG_EDGE_PX / camera.focalPx;
}

function linksOf(
  photos: readonly AroundPhoto[],
  pairs: readonly AroundPair[],
  cameras: readonly Intrinsics[],
  options: AroundOptions,
): Link[] {
  const { fewestMatches, smallestRatio, seed } = { ...LINK_DEFAULTS, ...options };
  return pairs.flatMap((pair): Link[] => {
    const { i, j, inliers } = pair;
    if (inliers.length < 2 * fewestMatches || (pair.verifiedRatio ?? 1) < smallestRatio) return [];
    const rays = raysOf(photos[i].features, photos[j].features, inliers, cameras[i], cameras[j]);
    const pose = pair.pose ?? poseOf(photos[i], rays, cameras[i], cameras[j], seed);
    if (!pose || pose.candidates[0].inliers < fewestMatches) return [];
    return [{ i, j, inliers, rays, turnedInPlace: pose.kind === "turned-in-place", pose }];
  });
}

/** The pose of one pair as the whole set takes it; undefined where its matches are too few for a link. */
export function pairPose(
  a: AroundPhoto,
  b: AroundPhoto,
  inliers: Int32Array,
  verifiedRatio: number,
): RelativePose | undefined {
  const { fewestMatches, smallestRatio, seed } = LINK_DEFAULTS;
  if (inliers.length < 2 * fewestMatches || verifiedRatio < smallestRatio) return undefined;
  const [cameraA, cameraB] = [statedCamera(a), statedCamera(b)];
  return poseOf(a, raysOf(a.features, b.features, inliers, cameraA, cameraB), cameraA, cameraB, seed);
}

function poseOf(
  a: AroundPhoto,
  rays: Correspondences,
  cameraA: Intrinsics,
  cameraB: Intrinsics,
  seed: number,
): RelativePose | undefined {
  const focalPx = (cameraA.focalPx + cameraB.focalPx) / 2;
  return relativePose(rays, focalPx, { limitPx: limitOf(a, cameraA) * focalPx, seed });
}

/** The camera as EXIF states it, or the one assumed. */
function statedCamera({ features, focalLength35Mm }: AroundPhoto): Intrinsics {
  return intrinsicsOf(features.widthPx, features.heightPx, focalLength35Mm ?? ASSUMED_FOCAL_LENGTH_35_MM);
}

function cameraOf(
  photo: number,
  rotations: readonly Mat3[],
  centres: readonly Vec3[],
  depths: readonly (number | undefined)[],
): Placed & { photo: number } {
  const depth = depths[photo];
  const placed = { photo, rotation: rotations[photo], centre: centres[photo] };
  return depth === undefined ? placed : { ...placed, depth };
}

function partOf(
  photos: readonly number[],
  { cameras, points }: PlacedPart,
  intrinsics: readonly Intrinsics[],
  set: SolvedSet,
  lens: Lens,
  options: AroundOptions,
): PartMeasures {
  const empty = { photos, confidence: 0, cameras: [], ...coverageOf([], options) };
  if (photos.length < FEWEST_PLACED) return empty;
  const subject = findSubject(cameras);
  if (!subject) return empty;
  const centres = cameras.map(({ centre }) => centre);
  const distances = centres.map((centre) => length(addScaled(centre, subject.centre, -1)));
  const byRoll = upAxis(
    cameras.map(({ rotation }) => rotation),
    centres,
    medianOf(distances),
  );
  const { up } = standing(byRoll, points, subject.centre, medianOf(distances));
  const directions = directionsAround(centres, subject.centre, up);
  const coverage = coverageOf(
    directions.map((direction, k) => ({ photo: cameras[k].photo, ...direction })),
    options,
  );
  const closed = coverage.bands.some((band) => band.closed && band.steps.length > 0);
  const levelOf = (k: number) => Math.max(0.1, Math.cos(directions[k].elevationDeg / DEGREES));
  const zero = Math.max(
    0,
    directions.findIndex(({ azimuthDeg }) => azimuthDeg < 1e-6 || azimuthDeg > 360 - 1e-6),
  );
  // The photo that azimuth 0 lies at shifts all others by its own error.
  const zeroErrorDeg = (subject.sigma / distances[zero] / levelOf(zero)) * DEGREES;
  const placed = directions.map((direction, k) => {
    const around = Math.min(direction.azimuthDeg, 360 - direction.azimuthDeg);
    const errors = {
      subject: (subject.sigma / distances[k]) * DEGREES,
      links: linkErrorDeg(cameras[k].photo, set),
      // A ring that closes leaves a wrong focal length no room to stretch it.
      focal: STRETCH * lens.sigma * around * (closed ? CLOSED_STRETCH : 1),
    };
    const own = Math.hypot(errors.subject, errors.links, errors.focal) / levelOf(k);
    const uncertaintyDeg = Math.min(180, k === zero ? 0 : Math.hypot(own, zeroErrorDeg));
    return { photo: cameras[k].photo, ...direction, uncertaintyDeg };
  });
  return {
    photos,
    confidence: confidenceOf(photos, set, lens),
    cameras: placed,
    ...coverage,
    solution: {
      subjectCentre: subject.centre,
      up,
      cameras: cameras.map((camera) => ({ ...camera, intrinsics: intrinsics[camera.photo] })),
    },
  };
}

/** A plane this many standard errors from the rolls' up, and this many degrees, may still be the table. */
const LEVEL_SIGMAS = 3;
const LEVEL_AT_LEAST_DEG = 2;
const LEVEL_AT_MOST_DEG = 20;

/** Up by the rolls, put right by the surface that the subject stands on where that is seen. */
function standing(byRoll: UpAxis, points: Float64Array, subject: Vec3, distance: number): UpAxis {
  const off = Math.max(LEVEL_AT_LEAST_DEG, LEVEL_SIGMAS * byRoll.uncertaintyDeg);
  const plane = levelPlane(points, subject, distance, byRoll.up, Math.min(LEVEL_AT_MOST_DEG, off));
  return plane ? levelled(byRoll, plane.normal) : byRoll;
}

/** Error of a photo's place by the disagreement of its links, degrees around the subject. */
function linkErrorDeg(photo: number, set: SolvedSet): number {
  const ratios: number[] = [];
  set.links.forEach(({ i, j }, e) => {
    const ratio = set.residualRatio[e];
    if ((i === photo || j === photo) && ratio !== undefined) ratios.push(ratio);
  });
  if (ratios.length === 0) return TYPICAL_STEP_DEG;
  return (Math.max(medianOf(ratios), LEAST_LINK_ERROR) * TYPICAL_STEP_DEG) / Math.sqrt(ratios.length);
}

/** Product of what is known of the lens, the share of links that agree, and how well their steps fit. */
function confidenceOf(photos: readonly number[], set: SolvedSet, lens: Lens): number {
  const own = new Set(photos);
  const tried = set.tried.filter(({ i, j }) => own.has(i) && own.has(j)).length;
  const ratios = set.links.flatMap((link, e) => (own.has(link.i) ? [set.residualRatio[e] ?? 1] : []));
  const lensKnown = 1 - Math.min(0.6, 5 * lens.sigma);
  const agreeing = tried > 0 ? ratios.length / tried : 0;
  return lensKnown * Math.min(1, agreeing) * (1 - Math.min(1, 2 * medianOf(ratios)));
}
