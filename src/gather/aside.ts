import { isMainThread, parentPort, Worker, workerData } from "node:worker_threads";
import { type AroundMeasures, measureAround } from "../measure/around/around.js";

type Arguments = Parameters<typeof measureAround>;

/**
 * `measureAround` in a thread of its own. It takes seconds in one piece, and meanwhile a signal must be heard that the
 * run is to stop.
 * @throws the signal's reason when it is aborted
 */
export async function measureAroundAside(
  signal: AbortSignal | undefined,
  ...given: Arguments
): Promise<AroundMeasures> {
  signal?.throwIfAborted();
  const worker = new Worker(new URL(import.meta.url), { workerData: given });
  const end = (): void => void worker.terminate();
  signal?.addEventListener("abort", end, { once: true });
  try {
    return await new Promise<AroundMeasures>((resolve, reject) => {
      worker.once("message", resolve);
      worker.once("error", reject);
      worker.once("exit", () => reject(signal?.reason ?? new Error("the thread ended without an answer")));
    });
  } finally {
    signal?.removeEventListener("abort", end);
    await worker.terminate();
  }
}

if (!isMainThread && Array.isArray(workerData))
  parentPort?.postMessage(measureAround(...(workerData as Arguments)));
