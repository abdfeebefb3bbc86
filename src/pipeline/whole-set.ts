import { type AroundMeasures, measureAround } from "../measure/coverage/around.js";
import type { PartMeasures } from "../measure/coverage/part.js";
import { litPhotos } from "../measure/light/input.js";
import { measureLight as lightOn } from "../measure/light/light.js";
import { voteForPairs } from "../measure/pairing/select-pairs.js";
import type { Candidate } from "../measure/parts.js";
import { sharpnessGroup } from "../measure/set/comparable.js";
import type { SubjectView } from "../measure/subject/region.js";
import { type Subject, subjectOf } from "../measure/subject/subject.js";
import type { Store } from "../runtime/cache/store.js";
import { collectAfterMany } from "../runtime/memory.js";
import type { SolvedMeasures } from "../types/facts.js";
import type { LightFacts } from "../types/light.js";
import type { Features } from "../types/photo.js";
import { onceEach } from "./once.js";
import { type PhotoData, type PhotoDataRef, photoData } from "./photo-data.js";
import type { SetPhoto, SetTask } from "./set-task.js";

/** Pairs of photos that look alike, by their places. */
export function choosePairs(
  photos: readonly PhotoDataRef[],
  store: Store,
): readonly (readonly [number, number])[] {
  return voteForPairs(featuresOf(photos, store));
}

/** Keypoints of one photo after another. */
function* featuresOf(photos: readonly PhotoDataRef[], store: Store): Generator<Features> {
  for (const photo of photos) yield photoData(store, photo).features;
}

export interface CamerasTask extends SetTask {
  /** How much of the way round the subject is wanted, degrees in (0, 360]. */
  readonly spanDeg: number;
}

/** Where the cameras stood, and what they cover of the way round the subject. */
export function solveCameras(
  { photos, pairs, spanDeg, turnedSubject }: CamerasTask,
  store: Store,
): AroundMeasures {
  const around = measureAround(
    photos.map((photo) => ({
      features: pointsOf(photoData(store, photo.data).features),
      focalLength35Mm: photo.exif.focalLength35Mm,
    })),
    betweenFirsts(pairs, firstCopies(photos)).map(({ a, b, inliers, verifiedRatio, pose }) => ({
      i: a,
      j: b,
      inliers,
      verifiedRatio,
      ...(pose && { pose }),
    })),
    { spanDeg, turnedSubject },
  );
  collectAfterMany(photos.length);
  return around;
}

export interface SubjectTask extends SetTask {
  readonly parts: readonly PartMeasures[];
}

/** Which pixels of each photo are the subject's, and the measures for those alone. */
export function findSubject({ photos, pairs, parts }: SubjectTask, store: Store): Subject {
  const subject = subjectOf(
    photos.map(({ tiles }) => tiles),
    dataOf(photos, store),
    pairs.map(({ a, b, inliers }) => ({
      i: a,
      j: b,
      inliers,
      comparable: sharpnessGroup(photos[a]) === sharpnessGroup(photos[b]),
    })),
    parts,
  );
  collectAfterMany(photos.length);
  return subject;
}

export interface LightTask extends SubjectTask {
  /** One a photo, like `views`. */
  readonly solved: readonly SolvedMeasures[];
  readonly views: readonly SubjectView[];
}

/** The light on the subject. */
export function measureLight(
  { photos, pairs, solved, views, parts, turnedSubject }: LightTask,
  store: Store,
): LightFacts {
  return lightOn(
    litPhotos(photos, solved, views, parts),
    dataOf(photos, store),
    pairs,
    turnedSubject === true,
  );
}

function dataOf(photos: readonly SetPhoto[], store: Store): (photo: number) => PhotoData {
  return (photo) => photoData(store, photos[photo].data);
}

/** For each photo, the first in order whose file holds the same bytes: a copy shows no other view. */
function firstCopies(photos: readonly SetPhoto[]): number[] {
  const { firsts, placeOf } = onceEach([...photos.keys()], (i) => photos[i].contentHash);
  return placeOf.map((place) => firsts[place]);
}

/** Pairs of different photos, each once, copies standing for their firsts. */
function betweenFirsts<P extends Candidate>(pairs: readonly P[], firstOf: readonly number[]): readonly P[] {
  const different = pairs
    .map((pair) => ({ ...pair, a: firstOf[pair.a], b: firstOf[pair.b] }))
    .filter(({ a, b }) => a < b);
  return onceEach(different, ({ a, b }) => `${a} ${b}`).firsts;
}

/** Where the keypoints are, without what else is known of them. */
function pointsOf({ x, y, widthPx, heightPx }: Features): Pick<Features, "x" | "y" | "widthPx" | "heightPx"> {
  return { x: x.slice(), y: y.slice(), widthPx, heightPx };
}
