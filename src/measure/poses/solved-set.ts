import type { Correspondences, Motion } from "../geometry/essential.js";
import { rotationAngleDeg } from "../geometry/rotation.js";
import { type Mat3, multiply, transpose, type Vec3 } from "../geometry/vector.js";
import { upperMedian } from "../statistics.js";
import { scaledTurn, solveClosedRotations } from "./close-loops.js";
import { ASSUMED_FOCAL_LENGTH_35_MM, type Intrinsics, intrinsicsOf } from "./intrinsics.js";
import { type PositionLink, solvePositions } from "./positions.js";
import { type Points, raysOf } from "./rays.js";
import { describe, type RelativePose, relativePose } from "./relative-pose.js";

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
  readonly inliers: ArrayLike<number>;
  /** Confirmed matches over ratio-tested ones, 0 to 1; undefined where unknown. */
  readonly verifiedRatio?: number;
  /** From {@link pairPose}, where it was computed elsewhere (on another thread). */
  readonly pose?: RelativePose;
  /** Motions near the pose, where it is to be made anew with another focal length. */
  readonly near?: readonly Motion[];
}

/**
 * Fewest confirmed matches of a link (unrelated pictures give about 11 by chance), and their least share. On two real
 * sets 64 wrong links of 508 became 1.
 */
const FEWEST_MATCHES = 30;
const SMALLEST_RATIO = 0.35;
/** Distance within which a match fits, px at a long edge of 1000 px. */
const LIMIT_PX = 1.5;
const LIMIT_LONG_EDGE_PX = 1000;

/**
 * A link whose own turn the rotations found contradict by this much, degrees, shows something else than it seems to. Of 1,078
 * links of four real sets none does; where the same print is on several sides, those that are left out do, by what lies
 * between two sides: 45 degrees at the least.
 */
const CONTRADICTED_DEG = 15;
/** Matches of such a link: twice what makes a link, so no chance likeness. */
const FEWEST_TO_CONTRADICT = 60;

/** A link ready for the whole-set solution. */
interface Link extends Omit<PositionLink, "translation"> {
  readonly pose: RelativePose;
}

/** A link as it was tried, whether it was built on or not. */
export interface TriedLink {
  readonly i: number;
  readonly j: number;
  readonly matches: number;
  /** Angle by which the rotations found contradict its own, degrees; undefined between parts. */
  readonly residualDeg?: number;
}

/** All photos placed by their links alone, each part in a world of its own. */
export interface SolvedSet {
  /** Connected components of the photos, largest first. */
  readonly parts: readonly (readonly number[])[];
  readonly tried: readonly TriedLink[];
  /** Those that agree. */
  readonly links: readonly PositionLink[];
  /** By photo number. */
  readonly rotations: readonly Mat3[];
  readonly centres: readonly Vec3[];
  readonly depths: readonly (number | undefined)[];
  /** Disagreement of each of `links` with the places found, as a share of its step. */
  readonly residualRatio: readonly (number | undefined)[];
  /** Distance within which a match fits, in focal lengths. */
  readonly limit: number;
}

/** The camera as EXIF states it, or the one assumed. */
export function statedCamera({ features, focalLength35Mm }: AroundPhoto): Intrinsics {
  return intrinsicsOf(features.widthPx, features.heightPx, focalLength35Mm ?? ASSUMED_FOCAL_LENGTH_35_MM);
}

/** The pose of one pair as the whole set takes it; undefined where its matches are too few for a link. */
export function pairPose(
  a: AroundPhoto,
  b: AroundPhoto,
  inliers: ArrayLike<number>,
  verifiedRatio: number,
): RelativePose | undefined {
  if (inliers.length < 2 * FEWEST_MATCHES || verifiedRatio < SMALLEST_RATIO) return undefined;
  const [cameraA, cameraB] = [statedCamera(a), statedCamera(b)];
  return poseOf(a, raysOf(a.features, b.features, inliers, cameraA, cameraB), cameraA, cameraB);
}

function poseOf(
  a: AroundPhoto,
  rays: Correspondences,
  cameraA: Intrinsics,
  cameraB: Intrinsics,
  near?: readonly Motion[],
): RelativePose | undefined {
  const focalPx = (cameraA.focalPx + cameraB.focalPx) / 2;
  return relativePose(rays, focalPx, {
    limitPx: limitOf(a, cameraA) * focalPx,
    ...(near && { near }),
  });
}

/**
 * A pair whose pose is to be made anew with focal lengths `factor` times as long. What was taken for a turn changes by
 * about that share: walking round a subject it was that much more, panning that much less. So the poses known are only
 * refined, from both.
 */
export function withFocal(pair: AroundPair, factor: number): AroundPair {
  const { pose, ...rest } = pair;
  if (pose === undefined) return pair;
  const near = pose.candidates.flatMap(({ rotation, translation }) =>
    [factor, 1 / factor].map((share) => ({ rotation: scaledTurn(rotation, share), translation })),
  );
  return { ...rest, near };
}

/** A pair with the pose that its own matches give, unless it has one. */
export function posed(
  photos: readonly AroundPhoto[],
  pair: AroundPair,
  cameras: readonly Intrinsics[],
): AroundPair {
  const { i, j, near } = pair;
  const pose =
    pair.pose ?? poseOf(photos[i], raysBetween(photos, pair, cameras), cameras[i], cameras[j], near);
  return pose ? { ...pair, pose } : pair;
}

/** A posed pair whose motions are known from elsewhere, best first: its own pose no longer counts. */
export function posedAs(
  photos: readonly AroundPhoto[],
  pair: AroundPair,
  cameras: readonly Intrinsics[],
  motions: readonly Motion[],
): AroundPair {
  if (pair.pose === undefined) return pair;
  const rays = raysBetween(photos, pair, cameras);
  const limit = limitOf(photos[pair.i], cameras[pair.i]);
  const candidates = motions.map((motion) => describe(rays, motion, limit, limit));
  return { ...pair, pose: { ...pair.pose, candidates } };
}

/**
 * Rotations, then places, of all photos from the poses of their pairs.
 *
 * @param rotationsOf how rotations are solved: solveRotations where so few photos cannot go round.
 */
export function solveSet(
  photos: readonly AroundPhoto[],
  pairs: readonly AroundPair[],
  cameras: readonly Intrinsics[],
  rotationsOf: typeof solveClosedRotations = solveClosedRotations,
): SolvedSet {
  const tried = linksOf(photos, pairs, cameras);
  const { rotations, chosen, used, parts } = rotationsOf(
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
  const limit = upperMedian(links.map((link) => limitOf(photos[link.i], cameras[link.i])));
  return {
    parts,
    tried: describeTried(tried, rotations, parts),
    links,
    rotations,
    limit,
    ...solvePositions(photos.length, rotations, links, (link) => raysBetween(photos, link, cameras), {
      limit,
    }),
  };
}

/** Whether a link's own turn is another than the rotations found say: it shows something else than it seems to. */
export function isContradicted({ matches, residualDeg }: TriedLink): boolean {
  return residualDeg !== undefined && residualDeg > CONTRADICTED_DEG && matches >= FEWEST_TO_CONTRADICT;
}

/** How the rotations of a solved set contradict links that it may not have been solved from. */
export function residualsOf(
  photos: readonly AroundPhoto[],
  pairs: readonly AroundPair[],
  cameras: readonly Intrinsics[],
  { rotations, parts }: Pick<SolvedSet, "rotations" | "parts">,
): TriedLink[] {
  return describeTried(linksOf(photos, pairs, cameras), rotations, parts);
}

function describeTried(
  links: readonly Link[],
  rotations: readonly Mat3[],
  parts: readonly (readonly number[])[],
): TriedLink[] {
  const partOf = new Map(parts.flatMap((part, p) => part.map((photo) => [photo, p] as const)));
  return links.map(({ i, j, inliers, pose }) => {
    const link = { i, j, matches: inliers.length >> 1 };
    if (partOf.get(i) !== partOf.get(j)) return link;
    const turn = multiply(rotations[j], transpose(rotations[i]));
    const residuals = pose.candidates.map(({ rotation }) => rotationAngleDeg(turn, rotation));
    return { ...link, residualDeg: Math.min(...residuals) };
  });
}

/** Whether a pair's matches are many and sure enough for a link. */
export function isLink({ inliers, verifiedRatio = 1 }: AroundPair): boolean {
  return inliers.length >= 2 * FEWEST_MATCHES && verifiedRatio >= SMALLEST_RATIO;
}

export function limitOf({ features }: AroundPhoto, camera: Intrinsics): number {
  return (LIMIT_PX * Math.max(features.widthPx, features.heightPx)) / LIMIT_LONG_EDGE_PX / camera.focalPx;
}

function linksOf(
  photos: readonly AroundPhoto[],
  pairs: readonly AroundPair[],
  cameras: readonly Intrinsics[],
): Link[] {
  return pairs.flatMap((pair): Link[] => {
    const { i, j, inliers } = pair;
    if (!isLink(pair)) return [];
    const pose =
      pair.pose ?? poseOf(photos[i], raysBetween(photos, pair, cameras), cameras[i], cameras[j], pair.near);
    if (!pose || pose.candidates[0].inliers < FEWEST_MATCHES) return [];
    return [{ i, j, inliers, pureRotation: pose.kind === "pure-rotation", pose }];
  });
}

function raysBetween(
  photos: readonly AroundPhoto[],
  { i, j, inliers }: Pick<AroundPair, "i" | "j" | "inliers">,
  cameras: readonly Intrinsics[],
): Correspondences {
  return raysOf(photos[i].features, photos[j].features, inliers, cameras[i], cameras[j]);
}
