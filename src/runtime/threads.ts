import { availableParallelism } from "node:os";
import { Piscina } from "piscina";

/** Cores this process may use, at least 1. */
export function availableCores(): number {
  return Math.max(1, availableParallelism());
}

/** What a module answers that threads run: one task in, one answer out, by the name of the export. */
// biome-ignore lint/suspicious/noExplicitAny: each step has a task of its own, which callers are held to.
export type Steps = Readonly<Record<string, (task: any) => unknown>>;
export type TaskOf<S extends Steps, N extends keyof S> = Parameters<S[N]>[0];
export type AnswerOf<S extends Steps, N extends keyof S> = Awaited<ReturnType<S[N]>>;

/** How one task of a batch ended. */
export type Outcome<R> =
  | { readonly ok: true; readonly value: R }
  | { readonly ok: false; readonly error: Error };

/** A task took longer than it was given, and its thread was ended. */
export class TimeLimitError extends Error {
  constructor(limitMs: number) {
    super(`it took longer than ${limitMs / 1000} s`);
    this.name = "TimeLimitError";
  }
}

export interface MapOptions<R> {
  /**
   * Longest that one task may take, ms. Then its thread is ended, even in the middle of a loop, another takes over, and
   * the outcome is a {@link TimeLimitError}. No limit where absent. Only for a batch that has the threads to itself:
   * beside another, a task waits for a thread within its time.
   */
  readonly limitMs?: number;
  /** Tasks under way at a time; as many as there are threads unless said. */
  readonly atOnce?: number;
  /** Ends the batch at once; tasks under way are given up and their threads ended. */
  readonly signal?: AbortSignal;
  /** What is held of an answer, in place of what the thread posted. */
  readonly hold?: (value: R) => R;
  /** Called as tasks end, in the order they end. */
  readonly onDone?: (index: number, outcome: Outcome<R>) => void;
}

/**
 * What a thread's heap may hold of young objects, MB. Node would let it grow to 48, which is a tenth of all that two
 * threads need for photos of 12 megapixels, and saves no time: the large arrays lie elsewhere.
 */
const YOUNG_GENERATION_MB = 4;

/**
 * Threads that run the steps of one module. Tasks and answers are posted: typed arrays over shared memory cost nothing,
 * all else is copied. The library starts threads, ends them and hands them tasks; added here are batches in order, time
 * limits, and what a stop means.
 */
export class Threads<S extends Steps> {
  /** Threads at most; each starts with its first task. */
  readonly jobs: number;
  readonly #module: URL;
  readonly #shared: unknown;
  #pool: Piscina | undefined;
  /** One for each task that was handed over and is not answered yet. */
  readonly #underWay = new Set<AbortController>();
  #closed = false;

  /**
   * @param jobs threads at most, a whole number of at least 1
   * @param module the module that exports the steps
   * @param shared what every thread gets as its workerData
   * @throws RangeError for another number of jobs
   */
  constructor(jobs: number, module: URL, shared?: unknown) {
    if (!Number.isInteger(jobs) || jobs < 1) throw new RangeError(`expected 1 job or more, found ${jobs}`);
    this.jobs = jobs;
    this.#module = module;
    this.#shared = shared;
  }

  /** Starts a thread, so that the first task need not wait for that; nothing where one runs. */
  start(): void {
    if (!this.#closed) this.#started();
  }

  /** One task. Rejects where the task fails, its thread dies, or the threads are closed. */
  async run<N extends keyof S & string>(
    step: N,
    task: TaskOf<S, N>,
    signal?: AbortSignal,
  ): Promise<AnswerOf<S, N>> {
    const [outcome] = await this.map(step, [task], signal === undefined ? {} : { signal });
    if (!outcome.ok) throw outcome.error;
    return outcome.value;
  }

  /**
   * Many tasks; outcomes in the order of the tasks, whichever ends first. A task that fails, or takes its thread down, is
   * one failed outcome and leaves the rest intact.
   * @throws the signal's reason when it is aborted
   */
  async map<N extends keyof S & string>(
    step: N,
    tasks: readonly TaskOf<S, N>[],
    { signal, hold, onDone, limitMs, atOnce = this.jobs }: MapOptions<AnswerOf<S, N>> = {},
  ): Promise<Outcome<AnswerOf<S, N>>[]> {
    if (this.#closed) throw new Error("the threads are closed");
    signal?.throwIfAborted();
    const outcomes = new Array<Outcome<AnswerOf<S, N>>>(tasks.length);
    const own = new Set<AbortController>();
    const stop = (): void => abortAll(own, signal?.reason);
    signal?.addEventListener("abort", stop, { once: true });
    const waiting = tasks.entries();
    // Only as many are handed over as there are threads: the time of what waits in the library's queue would run already.
    const lane = async (): Promise<void> => {
      for (const [index, task] of waiting) {
        if (signal?.aborted) return;
        const outcome = await this.#one(step, task, limitMs, own);
        outcomes[index] = outcome.ok && hold ? { ok: true, value: hold(outcome.value) } : outcome;
        if (!signal?.aborted) onDone?.(index, outcomes[index]);
      }
    };
    try {
      await Promise.all(Array.from({ length: Math.min(atOnce, this.jobs, tasks.length) }, lane));
      signal?.throwIfAborted();
      return outcomes;
    } finally {
      signal?.removeEventListener("abort", stop);
    }
  }

  /** Ends all threads once they have nothing in hand, for their memory; others start with the next tasks. */
  async rest(): Promise<void> {
    const pool = this.#pool;
    this.#pool = undefined;
    await pool?.close();
  }

  /** Ends all threads and fails what is still waiting. Safe to call twice. */
  async close(): Promise<void> {
    this.#closed = true;
    abortAll(this.#underWay, new Error("the threads were closed"));
    await this.#pool?.destroy();
  }

  async #one<N extends keyof S & string>(
    step: N,
    task: TaskOf<S, N>,
    limitMs: number | undefined,
    own: Set<AbortController>,
  ): Promise<Outcome<AnswerOf<S, N>>> {
    if (this.#closed) return { ok: false, error: new Error("the threads were closed") };
    const end = new AbortController();
    const timer =
      limitMs === undefined ? undefined : setTimeout(() => end.abort(new TimeLimitError(limitMs)), limitMs);
    for (const set of [own, this.#underWay]) set.add(end);
    try {
      return { ok: true, value: await this.#started().run(task, { name: step, signal: end.signal }) };
    } catch (error) {
      return { ok: false, error: asError(end.signal.aborted ? end.signal.reason : error) };
    } finally {
      clearTimeout(timer);
      for (const set of [own, this.#underWay]) set.delete(end);
    }
  }

  #started(): Piscina {
    if (this.#pool === undefined) {
      this.#pool = new Piscina({
        filename: this.#module.href,
        workerData: this.#shared,
        // One starts at once; and where it is ended another does, or what waits would wait for ever.
        minThreads: 1,
        maxThreads: this.jobs,
        idleTimeout: Number.POSITIVE_INFINITY,
        resourceLimits: { maxYoungGenerationSizeMb: YOUNG_GENERATION_MB },
        // A thread that sleeps between tasks runs none of what decoders leave to be done later, such as freeing memory.
        atomics: "disabled",
        recordTiming: false,
        workerHistogram: false,
      });
      // A thread could not even start (no memory, too many files open): no other will, and nobody would answer.
      this.#pool.on("error", (error) => abortAll(this.#underWay, error));
    }
    return this.#pool;
  }
}

function abortAll(tasks: Iterable<AbortController>, reason: unknown): void {
  for (const task of tasks) task.abort(reason);
}

function asError(reason: unknown): Error {
  return reason instanceof Error ? reason : new Error(String(reason));
}
