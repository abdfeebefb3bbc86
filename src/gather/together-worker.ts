/** The entry of the thread that looks at all photos at once: answers the tasks of {@link ./together.js}. */
import { workerData } from "node:worker_threads";
import { useKernelModule } from "../kernels/kernels.js";
import { holdPhotos } from "./store/photo-data.js";
import { Store } from "./store/store.js";
import { serveTasks } from "./threads.js";
import { handleSetTask, type SetTask } from "./together.js";
import type { Shared } from "./worker.js";

/** It goes through all photos several times: 24 MiB hold a usual set. */
const PHOTOS_HELD = 128;

const shared = workerData as Shared;
useKernelModule(shared.kernels);
const store = new Store(shared.store);
holdPhotos(PHOTOS_HELD);
serveTasks((task: SetTask) => handleSetTask(task, store));
