import type { Exif } from "../../types/exif.js";
import type { LightFacts, LightFalloff, LightPhoto, LightStep } from "../../types/light.js";
import type { Cells, Features } from "../../types/photo.js";
import { angleBetweenDirections, type Direction } from "../coverage/directions.js";
import { remember } from "../recent.js";
import { subjectStops } from "./brightness.js";
import { largestStep, type Step, stepAt } from "./change.js";
import { exposureToRemove, unexplainedStops } from "./exposure.js";
import { darkSide, falloffOf } from "./falloff.js";
import { type MovingLight, movingLight, type Partner } from "./moving.js";
import { airyDiameterPx, sharpRangeOf, subjectDepthMm } from "./optics.js";
import { type Region, sureOf } from "./region.js";
import { type WarpInput, warpInput } from "./warp.js";

/** What the light is measured from, one a photo in capture order. */
export interface LitPhoto {
  readonly file: string;
  /** Size of the upright photo. */
  readonly widthPx: number;
  readonly heightPx: number;
  readonly exif: Exif;
  /** Where the subject is, unpacked when asked; undefined where it could not be found. */
  readonly region?: (() => Region) | undefined;
  /** Solved values of the shared surface; see measure/set/solved.ts. */
  readonly exposureOffsetStops?: number | undefined;
  readonly redOffsetStops?: number | undefined;
  readonly blueOffsetStops?: number | undefined;
  /** Where the camera stood, in the largest connected component; undefined elsewhere. */
  readonly direction?: Direction | undefined;
}

/** Keypoints and cells of a photo, by place: fetched when they are needed, since those of all are too much to hold. */
export type DataOf = (photo: number) => { readonly features: Features; readonly cells: Cells };

/** Two linked photos by place, with their verified matches and how much brighter b shows the shared surface. */
export interface LitPair {
  readonly a: number;
  readonly b: number;
  readonly inliers: ArrayLike<number>;
  readonly driftStops?: number | undefined;
}

/** Most photos that a photo's surface is held against. */
const MOST_PARTNERS = 6;
/** Views kept at hand: those of a photo's neighbours on either side. */
const VIEWS_CACHED = 12;
/** A photo from nearly the same place shows the same highlights in the same place: it has no say. */
const LEAST_TURN_DEG = 8;
/** A step of the light under this is noise, stops: ten times what sets under one light show. */
const REAL_STEP = 0.1;

/**
 * The light on the subject: how it goes round, whether it changed, what of it moves, and what the lens makes of the depth.
 *
 * @param turnedSubject whether the subject was turned before a camera at rest: then the light turns against the subject,
 * and neither sides nor highlights can be told from it
 */
export function measureLight(
  photos: readonly LitPhoto[],
  dataOf: DataOf,
  pairs: readonly LitPair[],
  turnedSubject: boolean,
): LightFacts {
  const exposure = exposureToRemove(photos.map(exposedBy));
  const step = turnedSubject ? undefined : largestStep(unexplainedStops(photos.map(exposedBy)));
  const links = turnedSubject ? photos.map(() => []) : linksOf(photos, pairs, step);
  const viewOf = remember(VIEWS_CACHED, (i): WarpInput | undefined => {
    const found = photos[i].region;
    return found && warpInput(dataOf(i), sureOf(found()));
  });
  const measured = photos.map((photo, i): LightPhoto => {
    const view = viewOf(i);
    const brightness = view && subjectStops(view.cells, view.region);
    const removed = exposure.stops[i];
    const moving = view && movingOf(view, links[i], viewOf);
    return {
      file: photo.file,
      ...(brightness === undefined || removed === undefined ? {} : { subjectStops: brightness - removed }),
      ...(moving && movingFacts(moving)),
      ...opticsOf(photo),
    };
  });
  const falloff = turnedSubject ? undefined : falloffFacts(photos, measured);
  return {
    photos: measured,
    exposureSource: exposure.source,
    ...(falloff && { falloff }),
    ...(step && { step: stepFacts(photos, step) }),
  };
}

function exposedBy({ exif, exposureOffsetStops }: LitPhoto): {
  ev100?: number;
  exposureOffsetStops?: number;
} {
  return {
    ...(exif.ev100 === undefined ? {} : { ev100: exif.ev100 }),
    ...(exposureOffsetStops === undefined ? {} : { exposureOffsetStops }),
  };
}

function movingFacts({ brightRatio, darkRatio, followedRatio }: MovingLight): Partial<LightPhoto> {
  return { highlightRatio: brightRatio, shadowRatio: darkRatio, followedRatio };
}

/** A photo that another is held against. */
interface Link {
  readonly photo: number;
  /** Verified matches of the pair as measured, and whether the other photo comes first in them. */
  readonly inliers: ArrayLike<number>;
  readonly otherFirst: boolean;
  readonly driftStops: number;
}

/** The photos that each photo is held against: those with the most matches among those from far enough away. */
function linksOf(photos: readonly LitPhoto[], pairs: readonly LitPair[], step: Step | undefined): Link[][] {
  const before = step === undefined || Math.abs(step.stops) < REAL_STEP ? -1 : step.before;
  const all: Link[][] = photos.map(() => []);
  for (const { a, b, inliers, driftStops = 0 } of pairs) {
    if (inliers.length === 0 || !standApart(photos[a], photos[b])) continue;
    if (photos[a].region === undefined || photos[b].region === undefined) continue;
    // Under another light the surface looks otherwise, and no highlight moved.
    if (a <= before !== b <= before) continue;
    all[a].push({ photo: b, inliers, otherFirst: false, driftStops });
    all[b].push({ photo: a, inliers, otherFirst: true, driftStops: -driftStops });
  }
  return all.map((links) =>
    links.sort((p, q) => q.inliers.length - p.inliers.length).slice(0, MOST_PARTNERS),
  );
}

function movingOf(
  view: WarpInput,
  links: readonly Link[],
  viewOf: (photo: number) => WarpInput | undefined,
): MovingLight | undefined {
  const partners = links.flatMap(({ photo, inliers, otherFirst, driftStops }): Partner[] => {
    const other = viewOf(photo);
    if (other === undefined) return [];
    return [{ view: other, inliers, otherFirst, driftStops }];
  });
  return movingLight(view, partners);
}

function standApart({ direction: p }: LitPhoto, { direction: q }: LitPhoto): boolean {
  return p === undefined || q === undefined || angleBetweenDirections(p, q) >= LEAST_TURN_DEG;
}

function falloffFacts(
  photos: readonly LitPhoto[],
  measured: readonly LightPhoto[],
): LightFalloff | undefined {
  const seen = photos.flatMap(({ direction }, i) => {
    const { file, subjectStops: stops } = measured[i];
    return direction === undefined || stops === undefined
      ? []
      : [{ file, stops, azimuthDeg: direction.azimuthDeg }];
  });
  const falloff = falloffOf(seen);
  if (falloff === undefined) return undefined;
  const dark = darkSide(seen, falloff);
  return {
    falloffStops: falloff.falloffStops,
    oneSidedStops: falloff.oneSidedStops,
    twoSidedStops: falloff.twoSidedStops,
    darkSideDeg: falloff.darkSideDeg,
    darkPhotos: seen.filter((_, k) => dark[k]).map(({ file }) => file),
    binStops: falloff.bins.map((stops) => stops ?? null),
  };
}

function stepFacts(photos: readonly LitPhoto[], step: Step): LightStep {
  const fixed = photos.every(({ exif }) => exif.whiteBalance === "manual");
  const colour = (read: (photo: LitPhoto) => number | undefined) =>
    fixed ? stepAt(photos.map(read), step) : undefined;
  const red = colour(({ redOffsetStops }) => redOffsetStops);
  const blue = colour(({ blueOffsetStops }) => blueOffsetStops);
  return {
    before: photos[step.before].file,
    after: photos[step.after].file,
    stops: step.stops,
    ...(red === undefined ? {} : { redStops: red }),
    ...(blue === undefined ? {} : { blueStops: blue }),
  };
}

function opticsOf({ exif, widthPx, heightPx, region }: LitPhoto): Partial<LightPhoto> {
  const { focalLengthMm, focalLength35Mm, fNumber, subjectDistanceM } = exif;
  if (focalLengthMm === undefined || focalLength35Mm === undefined || fNumber === undefined) return {};
  const setting = { focalLengthMm, focalLength35Mm, fNumber };
  const airy = { airyDiameterPx: airyDiameterPx(setting, widthPx, heightPx) };
  if (subjectDistanceM === undefined || region === undefined) return airy;
  const distanceMm = 1000 * subjectDistanceM;
  if (distanceMm <= focalLengthMm) return airy;
  const { nearMm, farMm } = sharpRangeOf(setting, distanceMm);
  const { share } = region();
  let area = 0;
  for (let i = 0; i < share.length; i++) area += share[i];
  return {
    ...airy,
    subjectDepthMm: subjectDepthMm(area / share.length, setting, widthPx, heightPx, distanceMm),
    ...(Number.isFinite(farMm) && { depthOfFieldMm: farMm - nearMm }),
  };
}
