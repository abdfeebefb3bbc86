/** How far a stage of a run has come. */
export interface Progress<Stage extends string = string> {
  readonly stage: Stage;
  readonly done: number;
  readonly of: number;
}

/** Counts tasks of each stage as they end, over all that was ever asked of it. */
export class ProgressCount<Stage extends string> {
  readonly #stages = new Map<Stage, { done: number; of: number }>();
  readonly #onProgress: (progress: Progress<Stage>) => void;

  constructor(onProgress: (progress: Progress<Stage>) => void) {
    this.#onProgress = onProgress;
  }

  /** @returns to be called as each of the tasks ends */
  begin(stage: Stage, tasks: number): () => void {
    const count = this.#stages.get(stage) ?? { done: 0, of: 0 };
    this.#stages.set(stage, count);
    count.of += tasks;
    return () => {
      count.done++;
      this.#onProgress({ stage, ...count });
    };
  }
}
