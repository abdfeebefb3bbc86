/** The entry of the thread that looks at all photos at once: answers the tasks of {@link ./together.js}. */
import { workerData } from "node:worker_threads";
import { useKernelModule } from "../kernels/kernels.js";
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

serveTasks((task: SetTask) => {
  holdPhotos(task.photos.length <= MOST_HELD ? MOST_HELD : HELD_OF_MORE);
  return handleSetTask(task, store);
});
