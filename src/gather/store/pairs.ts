import type { Store } from "./store.js";

/** Numbers of keypoints, under 65,536, over memory that every thread may read: posting them copies nothing. */
export function sharedNumbers(numbers: ArrayLike<number>): Uint16Array {
  const shared = new Uint16Array(new SharedArrayBuffer(2 * numbers.length));
  shared.set(numbers);
  return shared;
}

/** Results a file holds at most: those beside a photo, and partners it was given in sets that came and went. */
const MOST_PARTNERS = 64;

/** How answers are written. */
export interface Packing<Result> {
  /** Tells answers to one question from those to another. */
  readonly name: string;
  pack(result: Result): Result;
  unpack(kept: Result): Result;
}

/** What two photos answered in earlier runs, a file for the first photo of each pair. */
export class KeptPairs<Result> {
  readonly #store: Store;
  readonly #packing: Packing<Result>;
  readonly #files = new Map<string, Map<string, Result>>();
  readonly #changed = new Set<string>();

  constructor(store: Store, packing: Packing<Result>) {
    this.#store = store;
    this.#packing = packing;
  }

  /** @param a, b keys of the photos' data, in capture order */
  get(a: readonly string[], b: readonly string[]): Result | undefined {
    return this.#file(a).get(b.join());
  }

  add(a: readonly string[], b: readonly string[], result: Result): void {
    this.#file(a).set(b.join(), result);
    this.#changed.add(a.join());
  }

  /** Writes what was added, and holds nothing any more. */
  save(): void {
    for (const name of this.#changed) {
      const partners = [...(this.#files.get(name) ?? [])].slice(-MOST_PARTNERS);
      const packed = partners.map(([b, result]) => [b, this.#packing.pack(result)] as const);
      this.#store.write("pairs", [this.#packing.name, name], new Map(packed));
    }
    this.#changed.clear();
    this.#files.clear();
  }

  #file(a: readonly string[]): Map<string, Result> {
    const name = a.join();
    let file = this.#files.get(name);
    if (file === undefined) {
      const kept = this.#store.read("pairs", [this.#packing.name, name]) as Map<string, Result> | undefined;
      file = new Map(Array.from(kept ?? [], ([b, result]) => [b, this.#packing.unpack(result)]));
      this.#files.set(name, file);
    }
    return file;
  }
}
