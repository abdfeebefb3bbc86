/** What a thread finds ready when it starts: the compiled kernels and the store that its run uses. */
import { workerData } from "node:worker_threads";
import { useKernelModule } from "../kernels/kernels.js";
import { Store, type StorePlace } from "./cache/store.js";

/** What a run hands to each of its threads. */
export interface Shared {
  /** Compiled once for all. */
  readonly kernels: WebAssembly.Module;
  readonly store: StorePlace;
  /** Threads at most that run tasks of which there are many. */
  readonly jobs: number;
}

const shared = workerData as Shared | null | undefined;
if (shared) useKernelModule(shared.kernels);

/** The run's store; outside a run one that keeps nothing. */
export const store = new Store(shared?.store ?? { folder: undefined, lasting: false });

/** Threads that share the memory there is with this one, itself included. */
export const jobs = shared?.jobs ?? 1;
