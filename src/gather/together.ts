import { measureAround } from "../measure/coverage/around.js";
import { aroundFacts } from "../measure/coverage/facts.js";
import { litPhotos } from "../measure/light/input.js";
import { measureLight } from "../measure/light/light.js";
import { voteForPairs } from "../measure/pairing/select-pairs.js";
import type { Candidate } from "../measure/parts.js";
import { sharpnessGroup } from "../measure/set/comparable.js";
import { subjectOf } from "../measure/subject/subject.js";
import type { Facts, SolvedMeasures, SubjectFacts } from "../types/facts.js";
import type { Features } from "../types/photo.js";
import { collectGarbage, MANY_PHOTOS } from "./collect.js";
import { onceEach } from "./once.js";
import type { ReadPhoto } from "./read-photo.js";
import { type PhotoData, type PhotoDataRef, photoData } from "./store/photo-data.js";
import type { Store } from "./store/store.js";
import type { PairResult } from "./tasks.js";

/** Asks which photos look alike. Answered by pairs of places. */
export interface VoteTask {
  readonly kind: "vote";
  readonly photos: readonly PhotoDataRef[];
}

/** Asks what photos show together: where the cameras stood, which pixels are the subject's, how it is lit. */
export interface TogetherTask {
  readonly kind: "together";
  /** In capture order, like `solved`. */
  readonly photos: readonly SetPhoto[];
  readonly pairs: readonly SetPair[];
  readonly solved: readonly SolvedMeasures[];
  /** How much of the way round the subject is wanted, degrees in (0, 360]. */
  readonly spanDeg: number;
  /** Whether the subject was turned before a camera at rest; undefined where that was not asked. */
  readonly turnedSubject: boolean | undefined;
}

/** What the whole set needs of a photo, and of two photos by their places: there may be thousands to post. */
export type SetPhoto = Omit<ReadPhoto, "measures">;
export type SetPair = Candidate &
  Pick<PairResult, "inliers" | "pose"> & {
    readonly verifiedRatio: number;
    readonly driftStops: number | undefined;
  };

/** What a {@link TogetherTask} finds. */
export interface Together extends Required<Pick<Facts, "around" | "light">> {
  /** One a photo. */
  readonly subjects: readonly SubjectFacts[];
}

/** What the thread for the whole set is asked to do, and what it answers. */
export type SetTask = VoteTask | TogetherTask;
export type SetResult = readonly (readonly [number, number])[] | Together;
export type SetResultOf<T extends SetTask> = T extends VoteTask ? readonly [number, number][] : Together;

export function handleSetTask(task: SetTask, store: Store): SetResult {
  return task.kind === "vote" ? voteForPairs(featuresOf(task.photos, store)) : measureTogether(task, store);
}

/** Keypoints of one photo after another. */
function* featuresOf(photos: readonly PhotoDataRef[], store: Store): Generator<Features> {
  for (const photo of photos) yield photoData(store, photo).features;
}

/** Each step takes what those before it found. */
function measureTogether(
  { photos, pairs, solved, spanDeg, turnedSubject }: TogetherTask,
  store: Store,
): Together {
  const dataOf = (photo: number): PhotoData => photoData(store, photos[photo].data);
  const around = measureAround(
    photos.map((photo, i) => ({
      features: pointsOf(dataOf(i).features),
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
  dropGarbage(photos.length);
  const subject = subjectOf(
    photos.map(({ tiles }) => tiles),
    dataOf,
    pairs.map(({ a, b, inliers }) => ({
      i: a,
      j: b,
      inliers,
      comparable: sharpnessGroup(photos[a]) === sharpnessGroup(photos[b]),
    })),
    around.parts,
  );
  dropGarbage(photos.length);
  const light = measureLight(
    litPhotos(photos, solved, subject.views, around.parts),
    dataOf,
    pairs,
    turnedSubject === true,
  );
  const files = photos.map(({ file }) => file);
  return { around: aroundFacts(around, files, spanDeg), subjects: subject.facts, light };
}

/** Between steps, each of which leaves much of thousands of photos. */
function dropGarbage(photos: number): void {
  if (photos > MANY_PHOTOS) collectGarbage();
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
