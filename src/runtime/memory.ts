import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";

let collect: (() => void) | undefined;

/**
 * Collects garbage now. Pixels and keypoints are megabytes outside the heap, which give the collector no reason to run:
 * whoever drops many of them has to ask. Takes some 10 ms.
 *
 * V8 would leave it to a thread of its own to give the memory back, some time later: by then the next photo is decoded.
 * Eight threads peaked at 1,111 MiB with 24 photos of 12 megapixels while it did, and at 846 without; two at 363 and 290.
 */
export function collectGarbage(): void {
  if (collect === undefined) {
    setFlagsFromString("--no-concurrent-array-buffer-sweeping");
    setFlagsFromString("--expose-gc");
    collect = runInNewContext("gc") as () => void;
  }
  collect();
}

/**
 * What all threads may leave uncollected together, bytes. With two threads, collecting at every photo instead took 5 % more CPU
 * time, and 75 MiB less.
 */
export const LEFT_BYTES = 192 * 2 ** 20;

/**
 * Items beyond which memory is worth more than the tenths of a second that asking for it costs: what a usual set leaves
 * uncollected is less than decoding takes.
 */
export const MANY = 200;

/** Between steps, each of which leaves much of thousands of items. */
export function collectAfterMany(items: number): void {
  if (items > MANY) collectGarbage();
}

/** How many numbers a piece of shared memory holds: 1 MiB. */
const PIECE = 2 ** 19;
let piece: Uint16Array = new Uint16Array(0);
let used = 0;

/**
 * Numbers under 65,536 over memory that every thread may read: posting them copies nothing. Many lie in one piece:
 * thousands of small ones between what threads allocate and drop would leave holes that nothing fills.
 */
export function sharedNumbers(numbers: ArrayLike<number>): Uint16Array {
  if (used + numbers.length > piece.length) {
    piece = new Uint16Array(new SharedArrayBuffer(2 * Math.max(PIECE, numbers.length)));
    used = 0;
  }
  const own = piece.subarray(used, used + numbers.length);
  used += numbers.length;
  own.set(numbers);
  return own;
}
