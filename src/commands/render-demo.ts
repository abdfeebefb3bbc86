import { cleanDemo, defaultDemo } from "../demo/options.js";
import { planSet } from "../demo/plan.js";
import { writeSet } from "../demo/write.js";

export interface DemoRequest {
  readonly seed?: number;
  readonly clean: boolean;
  readonly jobs?: number;
  readonly onProgress: (done: number, of: number) => void;
  readonly signal: AbortSignal;
}

/** Plans and writes the demo set; kept apart so that the renderer is loaded for `demo` alone. */
export async function renderDemo(folder: string, request: DemoRequest): Promise<number> {
  const { seed, clean, jobs, onProgress, signal } = request;
  const options = clean ? cleanDemo : defaultDemo;
  const plan = planSet(seed === undefined ? options : { ...options, seed });
  await writeSet(plan, folder, { onProgress, signal, ...(jobs !== undefined && { jobs }) });
  return plan.photos.length;
}
