import { kernelModule } from "../kernels/kernels.js";
import type { Candidate } from "../measure/parts.js";
import { farPairs, subjectTurned } from "../measure/turntable/turned-subject.js";
import type { Unreadable, UnreadableFile, UnsupportedFile } from "../types/folder.js";
import { collectGarbage, MANY_PHOTOS } from "./collect.js";
import { COPY_AGAIN, GatherError } from "./errors.js";
import type { FolderListing } from "./folder.js";
import { onceEach } from "./once.js";
import { type Question, SHARED, SHARED_MOVING, STATIC } from "./questions.js";
import type { ReadPhoto } from "./read-photo.js";
import { KeptPairs } from "./store/pairs.js";
import { prune } from "./store/prune.js";
import { chooseStore, leaveStore, Store, type StorePlace } from "./store/store.js";
import type {
  PairResult,
  PairTask,
  PhotoResult,
  PhotoTask,
  Result,
  ResultOf,
  StaticTask,
  Task,
} from "./tasks.js";
import {
  availableCores,
  createPool,
  type MapOptions,
  type Outcome,
  type Pool,
  TimeLimitError,
} from "./threads.js";
import { photoLimitMs, unreadableAfter } from "./time-limit.js";
import type { SetResult, SetResultOf, SetTask, Together, TogetherTask } from "./together.js";
import type { Shared } from "./worker.js";

/** How far a run has come. */
export interface AuditProgress {
  readonly stage: "photos" | "pairs";
  readonly done: number;
  readonly of: number;
}

export interface RunOptions {
  /** Threads; as many as there are cores unless said. */
  readonly jobs?: number;
  /** Keeps what is measured in the user's cache folder, and takes what is there; false unless said. */
  readonly cache?: boolean;
  /** Most that stays in that folder beside what this run used, bytes; 1 GiB unless said. */
  readonly cacheLimitBytes?: number;
  readonly onProgress?: (progress: AuditProgress) => void;
  readonly signal?: AbortSignal;
  /** Told of photos that count as unreadable for an error that nobody foresaw, and where that arose. */
  readonly onFault?: (file: string, where: string) => void;
}

export interface PhotosRead {
  readonly read: ReadPhoto[];
  readonly unreadable: UnreadableFile[];
  readonly unsupported: UnsupportedFile[];
}

/** Far pairs asked first; only where any of them sees a background at rest are the others asked. */
const FIRST_FAR_PAIRS = 8;

/** How many tasks of one kind are run. */
interface Batch<R> extends Pick<MapOptions<R>, "limitMs" | "hold"> {
  /** Whose progress they are; none where nobody is told. */
  readonly stage?: AuditProgress["stage"];
}

/** The threads of one audit and what they keep. Close it, whatever happens. */
export class Run {
  readonly #options: RunOptions;
  readonly #place: StorePlace;
  readonly #store: Store;
  readonly #pool: Pool<Task, Result>;
  /** What looks at all photos at once takes seconds in one piece, and meanwhile a signal must be heard. */
  readonly #setThread: Pool<SetTask, SetResult>;
  /** The vote of many photos takes as much memory as the threads that compare them, and its thread keeps that. */
  #roomAfterVote: Promise<void> | undefined;
  readonly #leave: () => void;
  /** What pairs answered in earlier runs and this one, by question. */
  readonly #answers = new Map<string, KeptPairs<unknown>>();
  readonly #progress = { photos: { done: 0, of: 0 }, pairs: { done: 0, of: 0 } };
  readonly #startedMs = Date.now();

  constructor(options: RunOptions) {
    this.#options = options;
    this.#place = chooseStore(options.cache ?? false);
    this.#store = new Store(this.#place);
    this.#leave = () => leaveStore(this.#place);
    // A run that is stopped ends before it can close.
    process.once("exit", this.#leave);
    const shared: Shared = { kernels: kernelModule(), store: this.#place };
    this.#pool = createPool(
      options.jobs ?? availableCores(),
      new URL("./worker.js", import.meta.url),
      shared,
    );
    this.#setThread = createPool(1, new URL("./together-worker.js", import.meta.url), shared);
  }

  /** No more photos or pairs: keeps what the pairs answered, and gives the threads' memory back. */
  async endPairs(): Promise<void> {
    const ended = this.#pool.close();
    for (const answers of this.#answers.values()) answers.save();
    await ended;
  }

  async close(): Promise<void> {
    await Promise.all([this.#pool.close(), this.#setThread.close()]);
    const { folder, lasting } = this.#place;
    // Only now is all written, and nothing read any more.
    if (lasting && folder !== undefined) await prune(folder, this.#startedMs, this.#options.cacheLimitBytes);
    this.#leave();
    process.off("exit", this.#leave);
  }

  /** Reads and measures all photos of a folder. @throws GatherError where none can be read */
  async measurePhotos({ photos }: FolderListing): Promise<PhotosRead> {
    // Links to one file are read once, and share what was found.
    const { firsts, placeOf } = onceEach(photos, ({ identity, kind }) => identity && `${kind} ${identity}`);
    const tasks = firsts.map(({ file, path }): PhotoTask => ({ kind: "photo", file, path }));
    const found: PhotosRead = { read: [], unreadable: [], unsupported: [] };
    const outcomes = await this.#runAll(tasks, { stage: "photos", limitMs: photoLimitMs(this.#pool.jobs) });
    for (const [i, { file }] of photos.entries()) {
      const outcome = outcomes[placeOf[i]];
      const fault = faultOf(outcome);
      if (fault !== undefined) this.#options.onFault?.(file, fault);
      if (!outcome.ok) found.unreadable.push({ file, ...unreadableAfter(outcome.error) });
      else if ("unreadable" in outcome.value) found.unreadable.push({ ...outcome.value.unreadable, file });
      else if ("unsupported" in outcome.value) found.unsupported.push({ ...outcome.value.unsupported, file });
      else found.read.push({ ...outcome.value.facts, file, data: outcome.value.data });
    }
    if (found.read.length === 0) throw noneReadable(found);
    // The threads that decoded keep the room for it, 70 MiB each; new ones cost a tenth of a second.
    if (photos.length > MANY_PHOTOS) await this.#pool.rest();
    return found;
  }

  /** Whether the subject was turned before a camera at rest; undefined where there are too few photos to ask. */
  async seeTurning(photos: readonly ReadPhoto[]): Promise<boolean | undefined> {
    const pairs = farPairs(photos.length).map(([a, b]): Candidate => ({ a, b }));
    // Spread over the set, like the whole list.
    const step = Math.max(1, Math.floor(pairs.length / FIRST_FAR_PAIRS));
    const first = pairs.filter((_, i) => i % step === 0);
    const rest = pairs.filter((_, i) => i % step !== 0);
    const ask = (some: readonly Candidate[]) => this.#askPairs(photos, some, STATIC);
    const votes = await ask(first);
    if (votes.some(({ still }) => still)) votes.push(...(await ask(rest)));
    return subjectTurned(votes);
  }

  /** Pairs of photos that look alike, by their places: see {@link voteForPairs}. */
  voteForPairs(photos: readonly ReadPhoto[]): Promise<readonly (readonly [number, number])[]> {
    const voting = this.#ofSet({ kind: "vote", photos: photos.map(({ data }) => data) });
    const rest = () => this.#setThread.rest();
    // Where the vote fails, whoever awaits it is told.
    this.#roomAfterVote = photos.length > MANY_PHOTOS ? voting.then(rest, rest) : undefined;
    return voting;
  }

  /** What photos show together. */
  measureTogether(
    given: Omit<TogetherTask, "kind" | "photos" | "pairs"> & {
      readonly photos: readonly ReadPhoto[];
      readonly pairs: readonly (Candidate & PairResult)[];
    },
  ): Promise<Together> {
    // What thousands of answers left here is room that the set's thread needs.
    if (given.photos.length > MANY_PHOTOS) collectGarbage();
    const photos = given.photos.map(({ measures: _, ...photo }) => photo);
    const pairs = given.pairs.map(({ a, b, inliers, pose, facts }) => {
      const { verifiedRatio, exposureDriftStops: driftStops } = facts;
      return { a, b, inliers, ...(pose && { pose }), verifiedRatio, driftStops };
    });
    return this.#ofSet({ kind: "together", ...given, photos, pairs });
  }

  #ofSet<T extends SetTask>(task: T): Promise<SetResultOf<T>> {
    return this.#setThread.run(task, this.#options.signal) as Promise<SetResultOf<T>>;
  }

  /** Compares pairs of photos. */
  async measurePairs(
    photos: readonly ReadPhoto[],
    candidates: readonly Candidate[],
    dynamicOnly: boolean,
  ): Promise<PairResult[]> {
    await this.#roomAfterVote;
    return this.#askPairs(photos, candidates, dynamicOnly ? SHARED_MOVING : SHARED, "pairs");
  }

  /** Asks pairs of photos one question; the answers that an earlier run had are taken from there. */
  async #askPairs<T extends PairTask | StaticTask>(
    photos: readonly ReadPhoto[],
    candidates: readonly Candidate[],
    question: Question<T>,
    stage?: AuditProgress["stage"],
  ): Promise<ResultOf<T>[]> {
    const kept = this.#place.lasting ? this.#answersTo(question) : undefined;
    const keyOf = (photo: number) => (photos[photo].data as { key?: readonly string[] }).key;
    const earlier = candidates.map(({ a, b }) => {
      const [keyA, keyB] = [keyOf(a), keyOf(b)];
      return keyA && keyB && kept?.get(keyA, keyB);
    });
    const missing = candidates.filter((_, i) => earlier[i] === undefined);
    // Copies of a photo need no comparing anew.
    const { firsts, placeOf } = onceEach(missing, ({ a, b }) =>
      [photos[a].contentHash, photos[b].contentHash].join(),
    );
    const tasks = firsts.map(({ a, b }) => question.taskOf(photos[a], photos[b]));
    const answers = (await this.#runAll(tasks, { hold: question.hold, ...(stage && { stage }) })).map(
      answerOf,
    );
    const measured = placeOf.map((place) => answers[place]);
    missing.forEach(({ a, b }, i) => {
      const [keyA, keyB] = [keyOf(a), keyOf(b)];
      if (keyA && keyB) kept?.add(keyA, keyB, measured[i]);
    });
    let next = 0;
    return earlier.map((result) => result ?? measured[next++]);
  }

  #answersTo<T extends PairTask | StaticTask>(question: Question<T>): KeptPairs<ResultOf<T>> {
    const known = this.#answers.get(question.name) as KeptPairs<ResultOf<T>> | undefined;
    const answers = known ?? new KeptPairs(this.#store, question);
    if (known === undefined) this.#answers.set(question.name, answers as KeptPairs<unknown>);
    return answers;
  }

  /**
   * What `make` made of the same key in an earlier run, or makes now.
   * @param photos whose data must all lie in the store for the answer to be kept
   */
  async onceFor<T>(
    key: readonly unknown[],
    photos: readonly ReadPhoto[],
    make: () => Promise<T>,
  ): Promise<T> {
    const keys = photos.map(({ data }) => ("key" in data ? data.key : undefined));
    if (!this.#place.lasting || keys.includes(undefined)) return make();
    const whole = [...key, keys];
    const kept = this.#store.read("set", whole) as T | undefined;
    if (kept !== undefined) return kept;
    const made = await make();
    await this.pause();
    this.#store.write("set", whole, made);
    return made;
  }

  /**
   * Lets a signal in that ends the run, between pieces of work that take tenths of a second for thousands of photos.
   * @throws its reason
   */
  async pause(): Promise<void> {
    await new Promise((resolve) => setImmediate(resolve));
    this.#options.signal?.throwIfAborted();
  }

  /** Runs many tasks of one kind, saying how far it is. Outcomes come in the order of the tasks. */
  async #runAll<T extends Task>(
    tasks: readonly T[],
    { stage, ...options }: Batch<ResultOf<T>>,
  ): Promise<Outcome<ResultOf<T>>[]> {
    const { signal } = this.#options;
    const onDone = stage && this.#counting(stage, tasks.length);
    const pool = this.#pool as unknown as Pool<T, ResultOf<T>>;
    return pool.map(tasks, { ...options, ...(signal && { signal }), ...(onDone && { onDone }) });
  }

  /** Counts tasks of a stage as they end, over all that was ever asked of it. */
  #counting(stage: AuditProgress["stage"], more: number): () => void {
    const count = this.#progress[stage];
    count.of += more;
    return () => {
      count.done++;
      // From here on a core has nothing to do until the last photos are measured.
      if (count.of - count.done <= this.#pool.jobs) this.#setThread.start();
      this.#options.onProgress?.({ stage, ...count });
    };
  }
}

/** @throws whatever made the task fail: with photos that were measured, only a mistake in this program can. */
function answerOf<R>(outcome: Outcome<R>): R {
  if (!outcome.ok) throw outcome.error;
  return outcome.value;
}

/** Where an unforeseen error arose; a photo that takes too long is none. */
function faultOf(outcome: Outcome<PhotoResult>): string | undefined {
  if (!outcome.ok) return outcome.error instanceof TimeLimitError ? undefined : outcome.error.stack;
  return "fault" in outcome.value ? outcome.value.fault : undefined;
}

function noneReadable({ unreadable, unsupported }: PhotosRead): GatherError {
  const [{ file, reason, wayOut }, ...others]: UnreadableFile[] = [
    ...unreadable,
    ...unsupported.map(({ file }) => ({ file, ...NO_PREVIEW })),
  ];
  const expected = "at least one photo that can be read";
  if (others.length === 0) {
    const found = `${file}, the only one, cannot be read (${reason})`;
    return new GatherError(expected, found, wayOut ?? COPY_AGAIN);
  }
  return new GatherError(
    expected,
    `none of the ${others.length + 1} can be read (${file}: ${reason})`,
    unreadable.length > 0 ? "copy the photos from the phone again" : "export JPEG copies of them",
  );
}

const NO_PREVIEW: Unreadable = {
  reason: "a raw photo without a preview picture inside",
  wayOut: "export a JPEG copy of it",
};
