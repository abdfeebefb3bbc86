import type { PairResult } from "../tasks.js";
import type { Store } from "./store.js";

/** Numbers of keypoints, under 65,536, over memory that every thread may read: posting them copies nothing. */
export function sharedNumbers(numbers: ArrayLike<number>): Uint16Array {
  const shared = new Uint16Array(new SharedArrayBuffer(2 * numbers.length));
  shared.set(numbers);
  return shared;
}

/** Results a file holds at most: those beside a photo, and partners it was given in sets that came and went. */
const MOST_PARTNERS = 64;

/** Pairs measured in earlier runs, a file for the first photo of each. */
export class KeptPairs {
  readonly #store: Store;
  readonly #kind: string;
  readonly #files = new Map<string, Map<string, PairResult>>();
  readonly #changed = new Set<string>();

  /** @param movingOnly see PairTask */
  constructor(store: Store, movingOnly: boolean) {
    this.#store = store;
    this.#kind = movingOnly ? "moving matches" : "all matches";
  }

  /** @param a, b keys of the photos' data, in capture order */
  get(a: readonly string[], b: readonly string[]): PairResult | undefined {
    const kept = this.#file(a).get(b.join());
    return kept && { ...kept, inliers: sharedNumbers(kept.inliers) };
  }

  add(a: readonly string[], b: readonly string[], result: PairResult): void {
    this.#file(a).set(b.join(), result);
    this.#changed.add(a.join());
  }

  /** Writes what was added. */
  save(): void {
    for (const name of this.#changed) {
      const partners = [...(this.#files.get(name) ?? [])].slice(-MOST_PARTNERS);
      // Shared memory cannot be written, so it is copied.
      const copies = partners.map(
        ([b, result]) => [b, { ...result, inliers: result.inliers.slice() }] as const,
      );
      this.#store.write("pairs", [this.#kind, name], new Map(copies));
    }
    this.#changed.clear();
  }

  #file(a: readonly string[]): Map<string, PairResult> {
    const name = a.join();
    let file = this.#files.get(name);
    if (file === undefined) {
      file =
        (this.#store.read("pairs", [this.#kind, name]) as Map<string, PairResult> | undefined) ?? new Map();
      this.#files.set(name, file);
    }
    return file;
  }
}
