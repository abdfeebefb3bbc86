import { availableCores } from "../runtime/threads.js";
import type { Unreadable } from "../types/folder.js";
import { printable, SAVE_COPY } from "./errors.js";

/**
 * Longest that reading, decoding and measuring one photo may take, s: the 200 megapixels read at most take 10 s of
 * one core at the 0.6 s that 12 megapixels take, and a slow machine may need several times that (our choice).
 */
export const PHOTO_LIMIT_S = 60;

/** The same for a pool of threads, ms: threads beyond the cores share them, and each photo waits longer. */
export function photoLimitMs(jobs: number, cores = availableCores()): number {
  return 1000 * PHOTO_LIMIT_S * Math.max(1, jobs / cores);
}

/** Why there are no facts of a photo whose task failed. */
export function unreadableAfter(error: Error): Unreadable {
  const message = printable(error.message);
  if (error.name === "TimeLimitError") return { reason: `${message} to read`, wayOut: SAVE_COPY };
  return { reason: `measuring it failed (${message})` };
}
