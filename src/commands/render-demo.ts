import { defaultDemo, planSet, writeSet } from "../demo/index.js";
import type { DemoRequest } from "./dependencies.js";

/** Plans and writes the demo set; kept apart so that the renderer is loaded for `demo` alone. */
export async function renderDemo(folder: string, request: DemoRequest): Promise<number> {
  const options = { ...defaultDemo };
  const plan = planSet(options);
  await writeSet(plan, folder, request);
  return plan.length;
}
