import { StoppedError } from "./errors.js";
import type { Io } from "./io.js";

/**
 * Runs work that can be ended from outside: the signal it is given is aborted when the user or the system
 * stops the run.
 * @throws StoppedError where that happened, whatever the work made of it
 */
export async function untilStopped<T>(io: Io, work: (signal: AbortSignal) => Promise<T>): Promise<T> {
  const controller = new AbortController();
  const stopListening = io.onStop(() => controller.abort(new StoppedError()));
  try {
    return await work(controller.signal);
  } catch (error) {
    throw controller.signal.aborted ? controller.signal.reason : error;
  } finally {
    stopListening();
  }
}

/** Settles as soon as the run is stopped, even where the work takes longer to wind down. */
export function stoppable<T>(work: Promise<T>, signal: AbortSignal): Promise<T> {
  const stopped = new Promise<never>((_, reject) => {
    signal.addEventListener("abort", () => reject(signal.reason), { once: true });
  });
  return Promise.race([work, stopped]);
}
