import type { AuditOptions } from "../audit.js";
import type { CheckText } from "../report/checks.js";
import type { Limits, Report } from "../types.js";

export interface DemoRequest {
  readonly seed?: number;
  readonly clean: boolean;
  readonly jobs?: number;
  readonly onProgress: (done: number, of: number) => void;
  readonly signal: AbortSignal;
}

/** The parts that do the work. Each is loaded when first called, so that help and errors come at once. */
export interface Dependencies {
  audit(folder: string, request: AuditOptions): Promise<Report>;
  /** @throws LimitsError where the file names a limit that is none */
  mergeLimits(json: unknown): Promise<Limits>;
  checks(): Promise<readonly CheckText[]>;
  /** Renders a set into an empty or new folder, whole or not at all; returns how many photos it wrote. */
  renderDemo(folder: string, request: DemoRequest): Promise<number>;
  /** A clock that only runs forwards, ms. */
  now(): number;
}

export const dependencies: Dependencies = {
  async audit(folder, request) {
    const { audit } = await import("../audit.js");
    return audit(folder, request);
  },
  async mergeLimits(json) {
    const { mergeLimits } = await import("../checks/limits.js");
    return mergeLimits(json);
  },
  async checks() {
    const { explained } = await import("../checks/index.js");
    return explained;
  },
  async renderDemo(folder, request) {
    const { renderDemo } = await import("./render-demo.js");
    return renderDemo(folder, request);
  },
  now: () => performance.now(),
};
