/** The entry of a thread: answers the tasks of {@link ./tasks.js}. */
import { getHeapStatistics } from "node:v8";
import { workerData } from "node:worker_threads";
import { useKernelModule } from "../kernels/kernels.js";
import { collectGarbage } from "./collect.js";
import { Store, type StorePlace } from "./store/store.js";
import { handleTask, type Task } from "./tasks.js";
import { serveTasks } from "./threads.js";

/** What the pool's starter hands to every thread. */
export interface Shared {
  /** Compiled once for all. */
  readonly kernels: WebAssembly.Module;
  readonly store: StorePlace;
}

const shared = workerData as Shared | null | undefined;
if (shared) useKernelModule(shared.kernels);
const store = new Store(shared?.store ?? { folder: undefined, lasting: false });

/** Bytes outside the heap that may pile up before they are collected: less than one decoded photo of 12 megapixels. */
const MOST_LEFT_ABOUT = 24 * 2 ** 20;
let leftBefore = getHeapStatistics().external_memory;

serveTasks(async (task: Task) => {
  const result = await handleTask(task, store);
  // Up to four decoded photos lay about in each thread.
  if (getHeapStatistics().external_memory - leftBefore > MOST_LEFT_ABOUT) {
    collectGarbage();
    leftBefore = getHeapStatistics().external_memory;
  }
  return result;
});
