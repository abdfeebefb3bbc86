import type { StaticMatches } from "../measure/turntable/static-matches.js";
import type { ReadPhoto } from "./read-photo.js";
import { type Packing, sharedNumbers } from "./store/pairs.js";
import type { PairResult, PairTask, ResultOf, StaticTask } from "./tasks.js";

/** What pairs of photos are asked in threads, and how answers are kept between runs. */
export interface Question<T extends PairTask | StaticTask> extends Packing<ResultOf<T>> {
  taskOf(a: ReadPhoto, b: ReadPhoto): T;
}

/** What stands still in two pictures from different sides. */
export const STATIC: Question<StaticTask> = {
  name: "static",
  taskOf: (a, b) => ({ kind: "static", a: a.data, b: b.data }),
  hold: (answer: StaticMatches) => answer,
  pack: (held) => held,
};

/** What surface two photos share. */
export const SHARED = sharedBy("all matches", false);
/** The same by the matches that move in the picture: the subject was turned before a camera at rest. */
export const SHARED_MOVING = sharedBy("moving matches", true);

function sharedBy(name: string, dynamicOnly: boolean): Question<PairTask> {
  return {
    name,
    taskOf: (a, b) => ({
      kind: "pair",
      a: a.data,
      b: b.data,
      focalLength35Mm: { a: a.exif.focalLength35Mm, b: b.exif.focalLength35Mm },
      dynamicOnly,
      seed: pairSeed(a.contentHash, b.contentHash),
    }),
    hold: (result: PairResult) => ({ ...result, inliers: sharedNumbers(result.inliers) }),
    // Shared memory cannot be written.
    pack: (held) => ({ ...held, inliers: held.inliers.slice() }),
  };
}

/** Seeds hang on what the photos show, so that renaming or adding files changes no pair. */
function pairSeed(hashA: string, hashB: string): number {
  return Number.parseInt(hashA.slice(0, 8), 16) ^ Number.parseInt(hashB.slice(8, 16), 16);
}
