/** The entry of a thread: answers the tasks of {@link ./tasks.js}. */
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { workerData } from "node:worker_threads";
import { useKernelModule } from "../kernels/kernels.js";
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

setFlagsFromString("--expose-gc");
const collectGarbage = runInNewContext("gc") as () => void;

serveTasks(async (task: Task) => {
  const result = await handleTask(task, store);
  // A decoded photo is tens of megabytes outside the heap, which alone gives the collector no reason to run:
  // up to four of them lay about in each thread. Two threads on 14 photos of 12 megapixels peaked at 449 MiB this
  // way, at 533 MiB without; a collection takes under 10 ms of the hundreds that measuring does.
  if (task.kind === "photo") collectGarbage();
  return result;
});
