import { type Progress, Runtime, type RuntimeOptions } from "../runtime/runtime.js";
import type * as photoSteps from "./photo-steps.js";
import type * as setSteps from "./set-steps.js";

export type Stage = "photos" | "pairs";

/** How far an audit has come. */
export type AuditProgress = Progress<Stage>;

/** The runtime with the steps of an audit: many alike ones for photos and pairs, and those for the whole set. */
export type AuditRuntime = Runtime<typeof photoSteps, typeof setSteps, Stage>;

export function startRuntime(options: RuntimeOptions<Stage>): AuditRuntime {
  return new Runtime(options, {
    many: new URL("./photo-steps.js", import.meta.url),
    whole: new URL("./set-steps.js", import.meta.url),
  });
}
