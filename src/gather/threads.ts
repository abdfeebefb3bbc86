import { availableParallelism } from "node:os";
import { parentPort, Worker } from "node:worker_threads";

/** Cores this process may use, at least 1. */
export function availableCores(): number {
  return Math.max(1, availableParallelism());
}

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
   * Longest that one task may take once a thread has it in hand, ms. Then its thread is ended, even in the middle
   * of a loop, another takes over, and the outcome is a {@link TimeLimitError}. No limit where absent.
   */
  readonly limitMs?: number;
  /** Ends the batch at once; tasks under way are given up and their threads ended. */
  readonly signal?: AbortSignal;
  /** What is held of an answer, in place of what the thread posted. */
  readonly hold?: (value: R) => R;
  /** Called as tasks end, in the order they end: for progress. */
  readonly onDone?: (index: number, outcome: Outcome<R>) => void;
}

/** A fixed number of threads that share one queue. */
export interface Pool<T, R> {
  /** Threads at most; each starts with its first task. */
  readonly jobs: number;
  /** Starts a thread, so that the first task need not wait for that; nothing where one runs. */
  start(): void;
  /** One task. Rejects where the task fails, its thread dies, or the pool is closed. */
  run(task: T, signal?: AbortSignal): Promise<R>;
  /**
   * Many tasks; outcomes in the order of the tasks, whichever ends first. A task that fails, or takes its thread
   * down, is one failed outcome and leaves the rest intact.
   * @throws the signal's reason when it is aborted
   */
  map(tasks: readonly T[], options?: MapOptions<R>): Promise<Outcome<R>[]>;
  /** Ends the threads that have nothing in hand, for their memory; others start with the next tasks. */
  rest(): Promise<void>;
  /** Ends all threads and fails what is still waiting. Safe to call twice. */
  close(): Promise<void>;
}

/** What goes to a thread and comes back. */
interface Request<T> {
  readonly task: T;
}
type Reply<R> = { readonly value: R } | { readonly error: PostedError };

/** An error without its class, which posting would lose. */
interface PostedError {
  readonly name: string;
  readonly message: string;
  readonly stack: string | undefined;
}

/**
 * What a thread's heap may hold of young objects, MB. Node would let it grow to 48, which is a tenth of all that two
 * threads need for photos of 12 megapixels, and saves no time: the large arrays lie elsewhere.
 */
const YOUNG_GENERATION_MB = 4;

/** One task in the queue or under way. */
interface Job<T, R> {
  readonly task: T;
  readonly resolve: (value: R) => void;
  readonly reject: (error: Error) => void;
  readonly limitMs: number | undefined;
  settled: boolean;
}

/** One thread and the job it has in hand. */
interface Thread<T, R> {
  readonly worker: Worker;
  job: Job<T, R> | undefined;
  /** Runs out when the job's time does. */
  timer?: NodeJS.Timeout;
}

/**
 * Starts a pool. Tasks and results are posted: typed arrays over shared memory cost nothing, all else is copied.
 * @param jobs threads at most, a whole number of at least 1
 * @param workerUrl a module that calls {@link serveTasks}
 * @param shared what every thread gets as its workerData
 * @throws RangeError for another number of jobs
 */
export function createPool<T, R>(jobs: number, workerUrl: URL, shared?: unknown): Pool<T, R> {
  if (!Number.isInteger(jobs) || jobs < 1) throw new RangeError(`expected 1 job or more, found ${jobs}`);
  return new ThreadPool<T, R>(jobs, workerUrl, shared);
}

class ThreadPool<T, R> implements Pool<T, R> {
  readonly jobs: number;
  readonly #workerUrl: URL;
  readonly #shared: unknown;
  readonly #queue: Job<T, R>[] = [];
  readonly #threads = new Set<Thread<T, R>>();
  /** Threads told to end and not yet gone: close() waits for them. */
  readonly #ending = new Set<Promise<unknown>>();
  #closed = false;

  constructor(jobs: number, workerUrl: URL, shared: unknown) {
    this.jobs = jobs;
    this.#workerUrl = workerUrl;
    this.#shared = shared;
  }

  start(): void {
    if (!this.#closed && this.#threads.size === 0) this.#start();
  }

  async run(task: T, signal?: AbortSignal): Promise<R> {
    const [outcome] = await this.map([task], signal === undefined ? {} : { signal });
    if (!outcome.ok) throw outcome.error;
    return outcome.value;
  }

  async map(
    tasks: readonly T[],
    { signal, hold, onDone, limitMs }: MapOptions<R> = {},
  ): Promise<Outcome<R>[]> {
    if (this.#closed) throw new Error("the pool is closed");
    signal?.throwIfAborted();
    const jobs: Job<T, R>[] = [];
    const outcomes = tasks.map(
      (task, index) =>
        new Promise<Outcome<R>>((settle) => {
          const end = (outcome: Outcome<R>): void => {
            job.settled = true;
            settle(outcome);
            if (!signal?.aborted) onDone?.(index, outcome);
          };
          const job: Job<T, R> = {
            task,
            limitMs,
            settled: false,
            resolve: (value) => end({ ok: true, value: hold ? hold(value) : value }),
            reject: (error) => end({ ok: false, error }),
          };
          jobs.push(job);
        }),
    );
    const abort = (): void => this.#giveUp(jobs, signal?.reason);
    signal?.addEventListener("abort", abort, { once: true });
    try {
      for (const job of jobs) this.#queue.push(job);
      this.#next();
      const all = await Promise.all(outcomes);
      signal?.throwIfAborted();
      return all;
    } finally {
      signal?.removeEventListener("abort", abort);
    }
  }

  async rest(): Promise<void> {
    for (const thread of [...this.#threads]) {
      if (thread.job === undefined) this.#end(thread, new Error("the thread had nothing to do"));
    }
    await Promise.all(this.#ending);
  }

  async close(): Promise<void> {
    this.#closed = true;
    for (const job of this.#queue.splice(0)) job.reject(new Error("the pool was closed"));
    for (const thread of [...this.#threads]) this.#end(thread, new Error("the pool was closed"));
    await Promise.all(this.#ending);
  }

  /** Hands waiting jobs to idle threads, starting threads while there are fewer than allowed. */
  #next(): void {
    while (this.#queue.length > 0) {
      const thread = this.#idleThread();
      if (thread === undefined) return;
      const job = this.#queue.shift();
      if (job === undefined || job.settled) continue;
      thread.job = job;
      try {
        thread.worker.postMessage({ task: job.task } satisfies Request<T>);
        this.#watch(thread, job.limitMs);
      } catch (error) {
        // A task that cannot be posted (a function inside) fails alone.
        thread.job = undefined;
        job.reject(error as Error);
      }
    }
  }

  #watch(thread: Thread<T, R>, limitMs: number | undefined): void {
    if (limitMs === undefined) return;
    thread.timer = setTimeout(() => this.#lost(thread, new TimeLimitError(limitMs)), limitMs);
  }

  #idleThread(): Thread<T, R> | undefined {
    for (const thread of this.#threads) if (thread.job === undefined) return thread;
    return this.#threads.size < this.jobs ? this.#start() : undefined;
  }

  #start(): Thread<T, R> {
    const worker = new Worker(this.#workerUrl, {
      workerData: this.#shared,
      resourceLimits: { maxYoungGenerationSizeMb: YOUNG_GENERATION_MB },
    });
    const thread: Thread<T, R> = { worker, job: undefined };
    this.#threads.add(thread);
    worker.on("message", (reply: Reply<R>) => {
      const job = thread.job;
      thread.job = undefined;
      clearTimeout(thread.timer);
      if (job !== undefined && !job.settled) {
        if ("value" in reply) job.resolve(reply.value);
        else job.reject(errorFrom(reply.error));
      }
      this.#next();
    });
    // An uncaught error or a call of process.exit() ends the thread: its task fails, and a new thread takes over.
    worker.on("error", (error) => this.#lost(thread, error));
    worker.on("messageerror", (error) => this.#lost(thread, error));
    worker.on("exit", (code) => this.#lost(thread, new Error(`the thread ended with code ${code}`)));
    return thread;
  }

  #lost(thread: Thread<T, R>, error: Error): void {
    if (!this.#threads.has(thread)) return;
    this.#end(thread, error);
    this.#next();
  }

  #end(thread: Thread<T, R>, error: Error): void {
    this.#threads.delete(thread);
    clearTimeout(thread.timer);
    const job = thread.job;
    thread.job = undefined;
    if (job !== undefined && !job.settled) job.reject(error);
    const gone = thread.worker.terminate();
    this.#ending.add(gone);
    gone.then(
      () => this.#ending.delete(gone),
      () => this.#ending.delete(gone),
    );
  }

  #giveUp(jobs: readonly Job<T, R>[], reason: unknown): void {
    const error = reason instanceof Error ? reason : new Error(String(reason));
    const given = new Set(jobs);
    const kept = this.#queue.filter((job) => !given.has(job));
    this.#queue.splice(0, this.#queue.length, ...kept);
    for (const thread of [...this.#threads]) {
      if (thread.job !== undefined && given.has(thread.job)) this.#end(thread, error);
    }
    for (const job of jobs) if (!job.settled) job.reject(error);
    this.#next();
  }
}

/** A thread's error as one of ours, saying where it arose there. */
function errorFrom({ name, message, stack }: PostedError): Error {
  return Object.assign(new Error(message), { name, stack });
}

/**
 * The thread's side: answers each task with what `handle` returns, or with the error it throws.
 * @throws Error outside a thread
 */
export function serveTasks<T, R>(handle: (task: T) => Promise<R> | R): void {
  const port = parentPort;
  if (port === null) throw new Error("this module runs in a thread only");
  port.on("message", async ({ task }: Request<T>) => {
    try {
      port.postMessage({ value: await handle(task) } satisfies Reply<R>);
    } catch (error) {
      const { name, message, stack } = error instanceof Error ? error : new Error(String(error));
      port.postMessage({ error: { name, message, stack } } satisfies Reply<R>);
    }
  });
}
