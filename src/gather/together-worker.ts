/** The entry of the thread that looks at all photos at once: answers the tasks of {@link ./together.js}. */
import { workerData } from "node:worker_threads";
import { holdPhotos } from "./store/photo-data.js";
import { Store, type StorePlace } from "./store/store.js";
import { serveTasks } from "./threads.js";
import { handleSetTask, type SetTask } from "./together.js";

/** It goes through all photos several times: 24 MiB hold a usual set. */
const PHOTOS_HELD = 128;

const { store: place } = workerData as { readonly store: StorePlace };
const store = new Store(place);
holdPhotos(PHOTOS_HELD);
serveTasks((task: SetTask) => handleSetTask(task, store));
