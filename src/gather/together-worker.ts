/** The entry of the thread that looks at all photos at once: answers the tasks of {@link ./together.js}. */
import { getHeapStatistics } from "node:v8";
import { workerData } from "node:worker_threads";
import { useKernelModule } from "../kernels/kernels.js";
import { collectGarbage } from "./collect.js";
import { holdPhotos } from "./store/photo-data.js";
import { Store } from "./store/store.js";
import { serveTasks } from "./threads.js";
import { handleSetTask, type SetTask } from "./together.js";
import type { Shared } from "./worker.js";

/**
 * It goes through all photos several times, one after another: 24 MiB hold a usual set. Of more photos than that, those
 * asked for next are always the ones let go longest ago, so that holding many would be of no use.
 */
const MOST_HELD = 128;
const HELD_OF_MORE = 24;

const shared = workerData as Shared;
useKernelModule(shared.kernels);
const store = new Store(shared.store);

/** Bytes outside the heap that a vote may leave before they are collected: what a usual set leaves waits. */
const MOST_LEFT_ABOUT = 24 * 2 ** 20;

serveTasks((task: SetTask) => {
  holdPhotos(task.photos.length <= MOST_HELD ? MOST_HELD : HELD_OF_MORE);
  const before = getHeapStatistics().external_memory;
  const result = handleSetTask(task, store);
  // Of thousands of photos, a vote leaves 32 KB each.
  if (getHeapStatistics().external_memory - before > MOST_LEFT_ABOUT) collectGarbage();
  return result;
});
