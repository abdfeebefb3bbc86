/** What a thread finds ready when it starts: the compiled kernels and the store that its run uses. */
import { workerData } from "node:worker_threads";
import { useKernelModule } from "../kernels/kernels.js";
import { Store, type StorePlace } from "./cache/store.js";

/** What a run hands to each of its threads. */
export interface Shared {
  /** Compiled once for all. */
  readonly kernels: WebAssembly.Module;
  readonly store: StorePlace;
}

const shared = workerData as Shared | null | undefined;
if (shared) useKernelModule(shared.kernels);

/** The run's store; outside a run one that keeps nothing. */
export const store = new Store(shared?.store ?? { folder: undefined, lasting: false });
