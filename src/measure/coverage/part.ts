import type { UpSource } from "../../types/around.js";
import { addScaled, dot, length, type Vec3 } from "../geometry/vector.js";
import type { Intrinsics } from "../poses/intrinsics.js";
import { type Lens, UNKNOWN_LENS } from "../poses/lens.js";
import { axisOf, FEWEST_PLACED, type Placed, type PlacedPart } from "../poses/placed.js";
import type { SolvedSet } from "../poses/solved-set.js";
import { upperMedian } from "../statistics.js";
import { type Coverage, type CoverageOptions, coverageOf, goesRound, type PlacedPhoto } from "./coverage.js";
import { type Direction, directionsAround } from "./directions.js";
import { findLaidOver } from "./laid-over.js";
import { levelPlane } from "./level.js";
import { findSubject, type Subject } from "./subject-centre.js";
import { levelled, type UpAxis, upAxis } from "./up.js";

export type CameraMeasures = PlacedPhoto;

export interface PartMeasures extends Coverage {
  /** Ascending. */
  readonly photos: readonly number[];
  /** 0 (guesswork) to 1 (every link agrees, the lens is known). */
  readonly confidence: number;
  /** Photos that could be placed, ascending; none in a part of fewer than three. */
  readonly cameras: readonly CameraMeasures[];
  /** Photos of a second round, after the subject was laid down or turned over; absent where it was not. */
  readonly laidOver?: { readonly photos: readonly number[]; readonly tiltDeg: number };
  /** Absent where none could be placed. */
  readonly upSource?: UpSource;
  /** What the directions rest on, for measures that need the geometry itself; absent where none could be placed. */
  readonly solution?: PartSolution;
}

/** A part's cameras in a world of its own, whose unit is free: the same for all of them, and no metre. */
export interface PartSolution {
  /** Where the photos aim: the point that their optical axes pass closest to. */
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

/**
 * Cosine of the angle off the axis within which a photo looks at the subject. By hand it is 6 degrees at the most on
 * rendered walks; of a strip of photos taken side by side along a wall, the middle one is 23 degrees.
 */
const WITHIN_VIEW = Math.cos(Math.PI / 9);
/** Share of photos that must look at the subject for it to be one: chosen, not measured, between nearly all and few (see aimedRatio). */
const FEWEST_AIMED = 0.6;
/**
 * Share of a focal length's relative error that stretches the way round: solved with one 17 % wrong, ways of 250 to 300
 * degrees of a real capture came out 2 to 5 % too long or too short.
 */
const STRETCH = 0.3;
/** What is left of that where a ring closes; chosen, not measured. */
const CLOSED_STRETCH = 0.1;
/**
 * Standard error of a direction where one match alone holds it, degrees: with it 95 of 100 photos of two real captures and of
 * subsets of them lie within twice what is stated (test/evaluate/capture-subsets.ts).
 */
const MATCH_SIGMA_DEG = 9;
/**
 * Standard error of the direction of a whole group that few matches hold on the others at one place, degrees: of 164 such
 * photos in subsets of two real captures, 95 in 100 stood within twice this (test/evaluate/capture-subsets.ts).
 */
const LOOSE_GROUP_DEG = 6;
const DEGREES = 180 / Math.PI;

/**
 * A plane this many standard errors from the rolls' up may still be the table (one normal error in 16,000 is larger), within
 * bounds that are chosen, not measured: few rolls look surer than they are, and what slopes by 20 degrees is no table.
 */
const LEVEL_SIGMAS = 4;
const LEVEL_AT_LEAST_DEG = 4;
const LEVEL_AT_MOST_DEG = 20;

/** Directions of a part's cameras around what they aim at, how sure they are, and what they cover. */
export function partOf(
  { photos, cameras, points, holds }: PlacedPart,
  intrinsics: readonly Intrinsics[],
  set: SolvedSet,
  lens: Lens,
  options: Partial<CoverageOptions>,
): PartMeasures {
  const subject = cameras.length < FEWEST_PLACED ? undefined : findSubject(cameras);
  if (!subject || aimedRatio(cameras, subject.centre) < FEWEST_AIMED)
    return { photos, confidence: 0, cameras: [], ...coverageOf([], options) };
  const centres = cameras.map(({ centre }) => centre);
  const distances = centres.map((centre) => length(addScaled(centre, subject.centre, -1)));
  const byRoll = upAxis(
    cameras.map(({ rotation }) => rotation),
    centres,
    upperMedian(distances),
  );
  const upright = standing(byRoll, points, subject.centre, upperMedian(distances));
  const directions = directionsAround(centres, subject.centre, upright.up);
  const placed = directions.map((direction, k) => ({ photo: cameras[k].photo, ...direction }));
  const closed = goesRound(placed, holds);
  const links = cameras.map(
    ({ looseness = Number.POSITIVE_INFINITY }) => MATCH_SIGMA_DEG * Math.sqrt(looseness),
  );
  const uncertainties = uncertaintiesOf(directions, distances, links, subject, upright, lens, closed);
  const sure = placed.map((camera, k) => {
    const { group = 0 } = cameras[k];
    const sharedDeg = group === 0 ? 0 : LOOSE_GROUP_DEG;
    return { ...camera, group, sharedDeg, uncertaintyDeg: Math.hypot(uncertainties[k], sharedDeg) };
  });
  const laidOver = findLaidOver(
    cameras.map(({ rotation }) => rotation),
    upright.up,
  );
  return {
    photos,
    confidence: confidenceOf(photos, set, lens),
    cameras: sure,
    ...coverageOf(sure, options, holds),
    ...(laidOver && {
      laidOver: { photos: laidOver.members.map((k) => cameras[k].photo), tiltDeg: laidOver.tiltDeg },
    }),
    upSource: upright === byRoll ? "photo rolls" : "level surface",
    solution: {
      subjectCentre: subject.centre,
      up: upright.up,
      cameras: cameras.map((camera) => ({ ...camera, intrinsics: intrinsics[camera.photo] })),
    },
  };
}

/**
 * Share of the cameras that look at a point. Around a subject nearly all do; of photos panned from one place the optical
 * axes meet where the camera stands, which is before few of them; of a strip along a wall they meet nowhere.
 */
function aimedRatio(cameras: readonly Placed[], centre: Vec3): number {
  const aimed = cameras.filter((camera) => {
    const to = addScaled(centre, camera.centre, -1);
    return dot(to, axisOf(camera.rotation)) > WITHIN_VIEW * length(to);
  });
  return aimed.length / cameras.length;
}

/** Up by the rolls, put right by the surface that the subject stands on where that is seen. */
function standing(byRoll: UpAxis, points: Float64Array, subject: Vec3, distance: number): UpAxis {
  const off = Math.max(LEVEL_AT_LEAST_DEG, LEVEL_SIGMAS * byRoll.uncertaintyDeg);
  const plane = levelPlane(points, subject, distance, byRoll.up, Math.min(LEVEL_AT_MOST_DEG, off));
  return plane ? levelled(byRoll, plane.normal) : byRoll;
}

/** Standard error of each azimuth, degrees: by the subject's place, the up axis, the links and the lens. */
function uncertaintiesOf(
  directions: readonly Direction[],
  distances: readonly number[],
  links: readonly number[],
  subject: Subject,
  upright: UpAxis,
  lens: Lens,
  closed: boolean,
): number[] {
  const zero = Math.max(
    0,
    directions.findIndex(({ azimuthDeg }) => azimuthDeg < 1e-6 || azimuthDeg > 360 - 1e-6),
  );
  // What the subject's place and the up axis do to one azimuth alone, before it is counted from another.
  const alone = directions.map(({ elevationDeg }, k) => {
    const level = Math.max(0.1, Math.cos(elevationDeg / DEGREES));
    const steepness = Math.sin(Math.abs(elevationDeg) / DEGREES) / level;
    return Math.hypot(
      ((subject.sigma / distances[k]) * DEGREES) / level,
      Math.min(20, upright.uncertaintyDeg) * steepness,
    );
  });
  return directions.map(({ azimuthDeg, elevationDeg }, k) => {
    if (k === zero) return 0;
    const around = Math.min(azimuthDeg, 360 - azimuthDeg);
    // A ring that closes leaves a wrong focal length nothing to stretch it by.
    const focal = STRETCH * lens.sigma * around * (closed ? CLOSED_STRETCH : 1);
    const own = Math.hypot(links[k], focal) / Math.max(0.1, Math.cos(elevationDeg / DEGREES));
    // The photo that azimuth 0 lies at shifts all others by its own error.
    return Math.min(180, Math.hypot(own, alone[k], alone[zero]));
  });
}

/**
 * Product of what is known of the lens, the share of links that agree, and how well their steps fit. Its factors are chosen,
 * not measured: a focal length assumed for a phone (sigma 0.1) leaves a half, one from EXIF (0.02) nine tenths, none less
 * than 0.4; links that disagree by half a step leave nothing. test/evaluate/around.ts shows what comes of it: 0.8 and more
 * on rendered sets, less where EXIF states a wrong focal length.
 */
function confidenceOf(photos: readonly number[], set: SolvedSet, lens: Lens): number {
  const own = new Set(photos);
  const tried = set.tried.filter(({ i, j }) => own.has(i) && own.has(j)).length;
  const ratios = set.links.flatMap((link, e) => (own.has(link.i) ? [set.residualRatio[e] ?? 1] : []));
  const lensKnown = lens === UNKNOWN_LENS ? 0.2 : 1 - Math.min(0.6, 5 * lens.sigma);
  const agreeing = tried > 0 ? ratios.length / tried : 0;
  return lensKnown * Math.min(1, agreeing) * (1 - Math.min(1, 2 * upperMedian(ratios)));
}
