import { kernelModule } from "../kernels/kernels.js";

export type { Progress } from "./progress.js";

import { prune, removeLeftFolders } from "./cache/prune.js";
import { chooseStore, leaveStore, Store, type StorePlace } from "./cache/store.js";
import type { Shared } from "./in-thread.js";
import { type Progress, ProgressCount } from "./progress.js";
import {
  type AnswerOf,
  availableCores,
  type MapOptions,
  type Outcome,
  type Steps,
  type TaskOf,
  Threads,
} from "./threads.js";

/** Threads at most, whatever is asked for: each takes some 40 MiB before it has done anything, and the process is to stay under 1 GiB. */
export const MOST_THREADS = 8;

export interface RuntimeOptions<Stage extends string = string> {
  /** Threads, of which 8 are used at the most; as many as there are cores unless said. */
  readonly jobs?: number;
  /** Keeps what is measured in the user's cache folder, and takes what is there; false unless said. */
  readonly cache?: boolean;
  /** Most that stays in that folder beside what this run used, bytes; 1 GiB unless said. */
  readonly cacheLimitBytes?: number;
  /** Told in a sentence why the cache folder is not used, though it was asked for. */
  readonly onCacheUnused?: (why: string) => void;
  readonly onProgress?: (progress: Progress<Stage>) => void;
  readonly signal?: AbortSignal;
}

/** How a batch of tasks is run. */
export interface BatchOptions<R, Stage extends string> extends Omit<MapOptions<R>, "signal"> {
  /** Whose progress they are; none where nobody is to be told. */
  readonly stage?: Stage;
}

/**
 * What a run works with: threads, a place to keep things, progress, and the signal that ends it. Knows nothing of what is
 * measured. Close it, whatever happens.
 */
export class Runtime<Many extends Steps, Whole extends Steps, Stage extends string = string> {
  /** What was stored by earlier runs, and what this one hands from thread to thread. */
  readonly store: Store;
  /** Whether the store outlives the run. */
  readonly lasting: boolean;
  readonly #options: RuntimeOptions<Stage>;
  readonly #place: StorePlace;
  readonly #many: Threads<Many>;
  /** What takes seconds in one piece is done in a thread too: meanwhile a signal must be heard. */
  readonly #whole: Threads<Whole>;
  readonly #progress: ProgressCount<Stage>;
  readonly #leave: () => void;
  readonly #startedMs = Date.now();

  /** @param modules what exports the steps: of many alike tasks, and of those for one thread that sees the whole */
  constructor(options: RuntimeOptions<Stage>, modules: { readonly many: URL; readonly whole: URL }) {
    this.#options = options;
    this.#place = chooseStore(options.cache ?? false, options.onCacheUnused);
    this.store = new Store(this.#place);
    this.lasting = this.#place.lasting;
    this.#leave = () => leaveStore(this.#place);
    // A run that is stopped ends before it can close.
    process.once("exit", this.#leave);
    const jobs = Math.min(MOST_THREADS, options.jobs ?? availableCores());
    const shared: Shared = { kernels: kernelModule(), store: this.#place, jobs };
    this.#many = new Threads<Many>(jobs, modules.many, shared);
    this.#whole = new Threads<Whole>(1, modules.whole, shared);
    this.#progress = new ProgressCount((progress) => {
      // From here on a core has nothing to do until the last tasks are done.
      if (progress.of - progress.done <= this.jobs) this.#whole.start();
      options.onProgress?.(progress);
    });
  }

  /** Threads at most for tasks of which there are many. */
  get jobs(): number {
    return this.#many.jobs;
  }

  /** Many tasks of one step, over all threads. Outcomes come in the order of the tasks. */
  each<N extends keyof Many & string>(
    step: N,
    tasks: readonly TaskOf<Many, N>[],
    { stage, onDone, ...options }: BatchOptions<AnswerOf<Many, N>, Stage> = {},
  ): Promise<Outcome<AnswerOf<Many, N>>[]> {
    const { signal } = this.#options;
    const count = stage && this.#progress.begin(stage, tasks.length);
    return this.#many.map(step, tasks, {
      ...options,
      ...(signal && { signal }),
      onDone: (index, outcome) => {
        onDone?.(index, outcome);
        count?.();
      },
    });
  }

  /** One task of a step that sees the whole. */
  whole<N extends keyof Whole & string>(step: N, task: TaskOf<Whole, N>): Promise<AnswerOf<Whole, N>> {
    return this.#whole.run(step, task, this.#options.signal);
  }

  /** Gives back the memory of threads that have nothing to do; new ones cost a tenth of a second. */
  rest(which: "many" | "whole"): Promise<void> {
    return which === "many" ? this.#many.rest() : this.#whole.rest();
  }

  /**
   * Lets a signal in that ends the run, between pieces of work that take tenths of a second for thousands of items.
   * @throws its reason
   */
  async pause(): Promise<void> {
    await new Promise((resolve) => setImmediate(resolve));
    this.#options.signal?.throwIfAborted();
  }

  /**
   * What `make` made of the same key in an earlier run, or makes now.
   * @param key undefined where the answer cannot be stored
   */
  async once<T>(key: readonly unknown[] | undefined, make: () => Promise<T>): Promise<T> {
    if (!this.lasting || key === undefined) return make();
    const stored = this.store.read("set", key) as T | undefined;
    if (stored !== undefined) return stored;
    const made = await make();
    await this.pause();
    this.store.write("set", key, made);
    return made;
  }

  async close(): Promise<void> {
    await Promise.all([this.#many.close(), this.#whole.close()]);
    const { folder, lasting } = this.#place;
    // Only now is all written, and nothing read any more.
    if (lasting && folder !== undefined) await prune(folder, this.#startedMs, this.#options.cacheLimitBytes);
    await removeLeftFolders();
    this.#leave();
    process.off("exit", this.#leave);
  }
}
