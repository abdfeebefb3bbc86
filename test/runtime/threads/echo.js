// A module for tests of threads: each export does what its name says.
import { threadId, workerData } from "node:worker_threads";

if (workerData?.loaded) count(workerData.loaded);

function count(numbers) {
  Atomics.add(numbers, 0, 1);
  Atomics.notify(numbers, 0);
}

export const echo = (value) => value;

export async function wait({ value, ms }) {
  await new Promise((resolve) => setTimeout(resolve, ms));
  return value;
}

export function fail(message) {
  throw new RangeError(message);
}

export function exit() {
  process.exit(3);
}

export function crash() {
  setTimeout(() => {
    throw new Error("crash");
  }, 0);
  return new Promise(() => {});
}

/** Counts itself in shared numbers, then never ends. */
export function spin(begun) {
  count(begun);
  for (;;);
}

/** Tells one thread from another. */
export const which = () => threadId;

export function write(bytes) {
  bytes[0] = 42;
  return "written";
}
