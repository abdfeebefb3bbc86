import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { parentPort, workerData } from "node:worker_threads";
import sharp from "sharp";
import { encodePhoto } from "./encode.js";
import type { SetPlan } from "./plan.js";
import { renderPhoto } from "./render.js";

/** What a rendering thread is started with. */
export interface WorkerSet {
  readonly plan: SetPlan;
  readonly folder: string;
}

/** "ready" once, then "drawn" after each photo; the number of the next photo comes back. */
export type WorkerAnswer = "ready" | "drawn";

const { plan, folder } = workerData as WorkerSet;
const say = (answer: WorkerAnswer): void => parentPort?.postMessage(answer);

// The threads of writeSet fill the cores already.
sharp.concurrency(1);

parentPort?.on("message", async (index: number) => {
  const photo = plan.photos[index];
  const { rgb } = renderPhoto(plan, index);
  await writeFile(join(folder, photo.file), await encodePhoto(plan.options, photo, rgb));
  say("drawn");
});
say("ready");
