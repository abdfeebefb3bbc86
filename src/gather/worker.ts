/** The entry of a thread: answers the tasks of {@link ./tasks.js}. */
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { workerData } from "node:worker_threads";
import { useKernelModule } from "../kernels/kernels.js";
import { handleTask, type Task } from "./tasks.js";
import { serveTasks } from "./threads.js";

// The pool's starter compiled the kernels for all.
useKernelModule(workerData as WebAssembly.Module | null);

setFlagsFromString("--expose-gc");
const collectGarbage = runInNewContext("gc") as () => void;

serveTasks(async (task: Task) => {
  const result = await handleTask(task);
  // A decoded photo is tens of megabytes outside the heap, which alone gives the collector no reason to run:
  // up to four of them lay about in each thread. Two threads on 14 photos of 12 megapixels peaked at 449 MiB this
  // way, at 533 MiB without; a collection takes under 10 ms of the hundreds that measuring does.
  if (task.kind === "photo") collectGarbage();
  return result;
});
