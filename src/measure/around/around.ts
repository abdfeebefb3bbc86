import type { Mat3, Vec3 } from "../geometry/vector.js";
import { type Coverage, type CoverageOptions, coverageOf, type PlacedPhoto } from "./coverage.js";
import { medianOf } from "./differences.js";
import { directionsAround } from "./directions.js";
import { ASSUMED_FOCAL_LENGTH_35_MM, type Intrinsics, intrinsicsOf } from "./intrinsics.js";
import { type PositionLink, solvePositions } from "./positions.js";
import { type Points, raysOf } from "./rays.js";
import { type RelativePose, relativePose } from "./relative-pose.js";
import { solveRotations } from "./rotations.js";
import { type Placed, subjectCentre } from "./subject.js";
import { upAxis } from "./up.js";

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

export interface AroundCamera extends PlacedPhoto {
  /** Standard error of the azimuth, degrees. */
  readonly uncertaintyDeg: number;
}

export interface AroundPart extends Coverage {
  /** Ascending. */
  readonly photos: readonly number[];
  /** 0 (guesswork) to 1 (every link agrees, the lens is known). */
  readonly confidence: number;
  /** Photos that could be placed, ascending; none in a part of fewer than three. */
  readonly cameras: readonly AroundCamera[];
}

export interface AroundFacts {
  /** Photos that hang together, largest part first. Between parts there is no known angle. */
  readonly parts: readonly AroundPart[];
  readonly focalSource: "exif" | "assumed" | "mixed";
  readonly upSource: "photo rolls" | "none";
}

export interface AroundOptions extends Partial<CoverageOptions> {
  /** Fewest confirmed matches of a link; unrelated pictures give about 11 by chance. */
  readonly fewestMatches?: number;
  /** Smallest confirmed share of a link. */
  readonly smallestRatio?: number;
  readonly seed?: number;
}

/** The measuring study's settings on two real sets: 64 wrong links of 508 became 1. */
const LINK_DEFAULTS = { fewestMatches: 30, smallestRatio: 0.35, seed: 1 };
/** Distance within which a match fits, px at a long edge of 1000 px. */
const LIMIT_PX = 1.5;
const LIMIT_LONG_EDGE_PX = 1000;
/** Fewest photos that are placed: two have a direction between them, but no size to judge it by. */
const FEWEST_PLACED = 3;

/** A link ready for the whole-set solution. */
interface Link extends PositionLink {
  readonly pose: RelativePose;
}

/** Where the cameras stood around the subject, and which views are missing. */
export function measureAround(
  photos: readonly AroundPhoto[],
  pairs: readonly AroundPair[],
  options: AroundOptions = {},
): AroundFacts {
  const cameras = photos.map(({ features, focalLength35Mm }) =>
    intrinsicsOf(features.widthPx, features.heightPx, focalLength35Mm ?? ASSUMED_FOCAL_LENGTH_35_MM),
  );
  const links = linksOf(photos, pairs, cameras, options);
  const solved = solveRotations(
    photos.length,
    links.map(({ i, j, pose }) => ({
      i,
      j,
      rotations: pose.candidates.map(({ rotation }) => rotation),
      inliers: pose.candidates[0].inliers,
    })),
  );
  const used = links.filter((_, e) => solved.used[e]);
  const limit = medianOf(links.map((link) => limitOf(photos[link.i], cameras[link.i])));
  const placed = solvePositions(photos.length, solved.rotations, used, { limit });
  const known = photos.filter(({ focalLength35Mm }) => focalLength35Mm !== undefined).length;
  const parts = solved.parts.map((part) => {
    const own = used.flatMap((link, e) => (part.includes(link.i) ? [placed.residualRatio[e]] : []));
    return partOf(
      part,
      part.map((photo) => cameraOf(photo, solved.rotations, placed.centres, placed.depths)),
      own.filter((ratio) => ratio !== undefined),
      known / photos.length,
      options,
    );
  });
  return {
    parts,
    focalSource: known === photos.length ? "exif" : known === 0 ? "assumed" : "mixed",
    upSource: parts.some(({ cameras: some }) => some.length > 0) ? "photo rolls" : "none",
  };
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
    const focalPx = (cameras[i].focalPx + cameras[j].focalPx) / 2;
    const limitPx = limitOf(photos[i], cameras[i]) * focalPx;
    const pose = pair.pose ?? relativePose(rays, focalPx, { limitPx, seed });
    if (!pose || pose.candidates[0].inliers < fewestMatches) return [];
    return [{ i, j, inliers, rays, turnedInPlace: pose.kind === "turned-in-place", pose }];
  });
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
  cameras: readonly (Placed & { photo: number })[],
  residualRatios: readonly number[],
  knownLens: number,
  options: AroundOptions,
): AroundPart {
  const empty = { photos, confidence: 0, cameras: [], ...coverageOf([], options) };
  if (photos.length < FEWEST_PLACED) return empty;
  const subject = subjectCentre(cameras);
  if (!subject) return empty;
  const distance = medianOf(cameras.map(({ centre }) => Math.hypot(...centre.map((c, i) => c - subject[i]))));
  const { up, uncertaintyDeg } = upAxis(
    cameras.map(({ rotation }) => rotation),
    cameras.map(({ centre }) => centre),
    distance,
  );
  const directions = directionsAround(
    cameras.map(({ centre }) => centre),
    subject,
    up,
  );
  const placed = directions.map((direction, k) => ({
    photo: cameras[k].photo,
    ...direction,
    uncertaintyDeg,
  }));
  return {
    photos,
    confidence: knownLens * (1 - medianOf(residualRatios)),
    cameras: placed,
    ...coverageOf(placed, options),
  };
}
