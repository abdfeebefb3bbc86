import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";

let collect: (() => void) | undefined;

/**
 * Collects garbage now. Pixels and keypoints are megabytes outside the heap, which give the collector no reason to run:
 * whoever drops many of them has to ask. Takes some 10 ms.
 */
export function collectGarbage(): void {
  if (collect === undefined) {
    setFlagsFromString("--expose-gc");
    collect = runInNewContext("gc") as () => void;
  }
  collect();
}

/**
 * Photos beyond which memory is worth more than the tenths of a second that asking for it costs: of a usual set all that is
 * left about is less than decoding takes.
 */
export const MANY_PHOTOS = 200;
