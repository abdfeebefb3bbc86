import { count } from "../report/wording.js";
import type { Output } from "./io.js";

export interface Progress {
  readonly stage: "photos" | "pairs" | "rendering" | "copying" | "pictures";
  readonly done: number;
  readonly of: number;
}

const clearLine = "\r\u001b[2K";
const everyMs = 100;

/** One line on a terminal that says how far the work is, written over and over and cleared at the end. */
export class ProgressLine {
  readonly #output: Output;
  readonly #now: () => number;
  #stage: string | undefined;
  #stageStartMs = 0;
  #firstDone = 0;
  #shownMs = Number.NEGATIVE_INFINITY;
  #visible = false;

  constructor(output: Output, now: () => number) {
    this.#output = output;
    this.#now = now;
  }

  show(progress: Progress): void {
    if (!this.#output.isTTY) return;
    const now = this.#now();
    if (progress.stage !== this.#stage) {
      this.#stage = progress.stage;
      this.#stageStartMs = now;
      this.#firstDone = progress.done;
      this.#shownMs = Number.NEGATIVE_INFINITY;
    }
    if (now - this.#shownMs < everyMs) return;
    this.#shownMs = now;
    this.#visible = true;
    const line = progressText(progress, this.#firstDone, now - this.#stageStartMs);
    // One short of the width: a full line makes some terminals move on to the next.
    void this.#output.write(clearLine + line.slice(0, (this.#output.columns ?? 80) - 1));
  }

  clear(): void {
    if (this.#visible) void this.#output.write(clearLine);
    this.#visible = false;
  }
}

const stageNames: Readonly<Record<Progress["stage"], readonly [step: string, what: string]>> = {
  photos: ["Step 1 of 2", "photo"],
  pairs: ["Step 2 of 2", "pair"],
  rendering: ["Rendering", "photo"],
  copying: ["Copying", "photo"],
  pictures: ["Making the page", "photo"],
};

/** "Step 1 of 2: 12 of 48 photos, about 20 s left". The time is left out until there is a rate to go by. */
export function progressText({ stage, done, of }: Progress, firstDone: number, elapsedMs: number): string {
  const [step, what] = stageNames[stage];
  const text = `${step}: ${done} of ${count(of, what)}`;
  const worked = done - firstDone;
  if (worked <= 0 || elapsedMs < 500) return text;
  return `${text}, about ${duration(((of - done) * elapsedMs) / worked / 1000)} left`;
}

function duration(seconds: number): string {
  if (seconds < 90) return `${Math.max(1, Math.round(seconds))} s`;
  return `${Math.round(seconds / 60)} min`;
}
