/** The steps that one thread runs for all photos at once; each export answers one task. */
import type { AroundMeasures } from "../measure/coverage/around.js";
import type { Subject } from "../measure/subject/subject.js";
import { store } from "../runtime/in-thread.js";
import type { LightFacts } from "../types/light.js";
import { cachePhotos, type PhotoDataRef } from "./photo-data.js";
import * as set from "./whole-set.js";

/**
 * The steps go through all photos several times, one after another: 24 MiB hold a usual set. Of more photos than that, those
 * asked for next are always the ones let go longest ago, so that holding many would be of no use.
 */
const MOST_CACHED = 128;
const CACHED_OF_MORE = 24;

function holdFor(photos: readonly unknown[]): void {
  cachePhotos(photos.length <= MOST_CACHED ? MOST_CACHED : CACHED_OF_MORE);
}

export function choosePairs(photos: readonly PhotoDataRef[]): readonly (readonly [number, number])[] {
  holdFor(photos);
  return set.choosePairs(photos, store);
}

export function solveCameras(task: set.CamerasTask): AroundMeasures {
  holdFor(task.photos);
  return set.solveCameras(task, store);
}

export function findSubject(task: set.SubjectTask): Subject {
  holdFor(task.photos);
  return set.findSubject(task, store);
}

export function measureLight(task: set.LightTask): LightFacts {
  holdFor(task.photos);
  return set.measureLight(task, store);
}
