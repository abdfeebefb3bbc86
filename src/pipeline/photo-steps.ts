/** The steps that threads run for single photos and pairs; each export answers one task. */
import { getHeapStatistics } from "node:v8";
import { jobs, store } from "../runtime/in-thread.js";
import { collectGarbage, LEFT_BYTES } from "../runtime/memory.js";
import * as pair from "./compare-pair.js";
import * as photo from "./read-photo.js";

/**
 * Bytes outside the heap that may pile up before they are collected: less than three decoded photos of 12 megapixels
 * where there are two threads, less than one where there are eight.
 */
const MOST_LEFT = LEFT_BYTES / jobs;
let leftBefore = getHeapStatistics().external_memory;

/** Without it a thread keeps up to four decoded photos in memory that nothing uses any more: their buffers lie outside the heap, whose size alone decides when the collector runs. */
function collectLeft(): void {
  if (getHeapStatistics().external_memory - leftBefore <= MOST_LEFT) return;
  collectGarbage();
  leftBefore = getHeapStatistics().external_memory;
}

export async function readPhoto(task: photo.PhotoTask): Promise<photo.PhotoResult> {
  const result = await photo.readPhoto(task, store);
  collectLeft();
  return result;
}

export function comparePair(task: pair.PairTask): pair.PairResult {
  const result = pair.comparePair(task, store);
  collectLeft();
  return result;
}

export function findStatic(task: pair.StaticTask): ReturnType<typeof pair.findStatic> {
  const result = pair.findStatic(task, store);
  collectLeft();
  return result;
}
