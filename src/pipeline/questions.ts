import { sharedNumbers } from "../runtime/memory.js";
import type { AnswerOf, TaskOf } from "../runtime/threads.js";
import type { Packing } from "./pair-answers.js";
import type { ReadPhoto } from "./photo-data.js";
import type * as photoSteps from "./photo-steps.js";

type PhotoSteps = typeof photoSteps;
/** The steps that look at two photos. */
export type PairStep = "comparePair" | "findStatic";
export type PairAnswer<N extends PairStep> = AnswerOf<PhotoSteps, N>;

/** What pairs of photos are asked in threads, and how answers are stored between runs. */
export interface Question<N extends PairStep> extends Packing<PairAnswer<N>> {
  /** The step that answers it. */
  readonly step: N;
  taskOf(a: ReadPhoto, b: ReadPhoto): TaskOf<PhotoSteps, N>;
}

/** What stands still in two pictures from different sides. */
export const STATIC: Question<"findStatic"> = {
  name: "static",
  step: "findStatic",
  taskOf: (a, b) => ({ a: a.data, b: b.data }),
  hold: (answer) => answer,
  pack: (answer) => answer,
};

/** What surface two photos share. */
export const SHARED = sharedBy("all matches", false);
/** The same by the matches that move in the picture: the subject was turned before a camera at rest. */
export const SHARED_MOVING = sharedBy("moving matches", true);

function sharedBy(name: string, dynamicOnly: boolean): Question<"comparePair"> {
  return {
    name,
    step: "comparePair",
    taskOf: (a, b) => ({
      a: a.data,
      b: b.data,
      focalLength35Mm: { a: a.exif.focalLength35Mm, b: b.exif.focalLength35Mm },
      dynamicOnly,
      seed: pairSeed(a.contentHash, b.contentHash),
    }),
    hold: (result) => ({ ...result, inliers: sharedNumbers(result.inliers) }),
    // Shared memory cannot be written.
    pack: (answer) => ({ ...answer, inliers: answer.inliers.slice() }),
  };
}

/** Seeds hang on what the photos show, so that renaming or adding files changes no pair. */
function pairSeed(hashA: string, hashB: string): number {
  return Number.parseInt(hashA.slice(0, 8), 16) ^ Number.parseInt(hashB.slice(8, 16), 16);
}
