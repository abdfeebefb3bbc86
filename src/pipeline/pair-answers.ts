import type { Store } from "../runtime/cache/store.js";

/** Results a file holds at most: those beside a photo, and partners it was given in sets that came and went. */
const MOST_PARTNERS = 64;

/** How answers are cached, and stored. */
export interface Packing<Result> {
  /** Tells answers to one question from those to another. */
  readonly name: string;
  /** An answer as a thread or a file hands it over, to be cached for the run. */
  hold(result: Result): Result;
  /** A cached one, to be stored. */
  pack(result: Result): Result;
}

/** What two photos answered in earlier runs, a file for the first photo of each pair. */
export class PairAnswers<Result> {
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

  /** Writes what was added, and caches nothing any more. */
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
      const stored = this.#store.read("pairs", [this.#packing.name, name]) as Map<string, Result> | undefined;
      file = new Map(Array.from(stored ?? [], ([b, result]) => [b, this.#packing.hold(result)]));
      this.#files.set(name, file);
    }
    return file;
  }
}
