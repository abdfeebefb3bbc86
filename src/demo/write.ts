import { mkdir, readdir, rename, rm, rmdir, writeFile } from "node:fs/promises";
import { availableParallelism } from "node:os";
import { basename, dirname, join, resolve } from "node:path";
import { Worker } from "node:worker_threads";
import { ExplainedError, errorCode } from "../errors.js";
import type { SetPlan } from "./plan.js";
import { truthOf } from "./truth.js";
import type { WorkerAnswer, WorkerSet } from "./worker.js";

/** The folder asked for has something in it: nothing was written. */
export class FolderNotEmptyError extends ExplainedError {
  override readonly name = "FolderNotEmptyError";

  constructor(folder: string, files: number) {
    super("an empty or new folder", `${folder} holds ${files} file${files === 1 ? "" : "s"}`, "name another");
  }
}

export interface WriteOptions {
  /** Photos in work at once; absent: one a core, two at least and four at most (each holds 200 MB). */
  readonly jobs?: number;
  readonly onProgress?: (done: number, of: number) => void;
  /** Stops the work; nothing stays behind. */
  readonly signal?: AbortSignal;
}

async function filesIn(folder: string): Promise<number | undefined> {
  try {
    return (await readdir(folder)).length;
  } catch (error) {
    if (errorCode(error) === "ENOENT") return undefined;
    throw error;
  }
}

/**
 * Writes the photos of a set and truth.json. They are made in a folder beside it that takes the name when all is
 * done, so that nobody meets half a set.
 *
 * @throws FolderNotEmptyError where the folder holds anything.
 */
export async function writeSet(plan: SetPlan, folder: string, options: WriteOptions = {}): Promise<void> {
  const target = resolve(folder);
  const files = await filesIn(target);
  if (files !== undefined && files > 0) throw new FolderNotEmptyError(folder, files);
  options.signal?.throwIfAborted();
  const partial = join(dirname(target), `.${basename(target)}.partial-${process.pid}`);
  await mkdir(dirname(target), { recursive: true });
  await mkdir(partial);
  try {
    await renderInto(plan, partial, options);
    await writeFile(join(partial, "truth.json"), `${JSON.stringify(truthOf(plan), undefined, 2)}\n`);
    // rmdir fails where something has come into the folder meanwhile, which is right.
    if (files !== undefined) await rmdir(target);
    await rename(partial, target);
  } catch (error) {
    await rm(partial, { recursive: true, force: true });
    throw error;
  }
}

async function renderInto(plan: SetPlan, folder: string, options: WriteOptions): Promise<void> {
  const total = plan.photos.length;
  const jobs = Math.max(1, Math.min(total, options.jobs ?? Math.min(4, Math.max(2, availableParallelism()))));
  let next = 0;
  let done = 0;
  const workers: Worker[] = [];
  const work = (): Promise<void> =>
    new Promise((settle, fail) => {
      const set: WorkerSet = { plan, folder };
      const worker = new Worker(new URL("./worker.js", import.meta.url), { workerData: set });
      workers.push(worker);
      worker.on("message", (answer: WorkerAnswer) => {
        if (answer === "drawn") options.onProgress?.(++done, total);
        if (next < total) worker.postMessage(next++);
        else settle();
      });
      worker.on("error", fail);
      worker.on("exit", (code) => fail(new Error(`a rendering thread stopped early, exit code ${code}`)));
    });
  const aborted = new Promise<never>((_, fail) => {
    options.signal?.addEventListener("abort", () => fail(options.signal?.reason), { once: true });
  });
  try {
    await Promise.race([Promise.all(Array.from({ length: jobs }, work)), aborted]);
  } finally {
    await Promise.all(workers.map((worker) => worker.terminate()));
  }
}
