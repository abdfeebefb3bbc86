import type { PicturesOptions } from "../pictures/pictures.js";
import type { AuditOptions } from "../pipeline/audit.js";
import type { Ready, ReadyOptions } from "../ready/ready.js";
import type { CheckText } from "../report/checks.js";
import type { Pictures, PicturesOrder } from "../report/page/pictures.js";
import type { Limits } from "../types/judgement.js";
import type { Report } from "../types/report.js";
import type { SinceLastRun } from "../types/since.js";
import type { DemoRequest } from "./render-demo.js";

/** The parts that do the work. Each is loaded when first called, so that help and errors come at once. */
export interface Dependencies {
  audit(folder: string, request: AuditOptions): Promise<Report>;
  /** @throws LimitsError where what the file says cannot be used */
  mergeLimits(json: unknown, file: string): Promise<Limits>;
  checks(): Promise<readonly CheckText[]>;
  /** Renders a set into an empty or new folder, whole or not at all; returns how many photos it wrote. */
  renderDemo(folder: string, request: DemoRequest): Promise<number>;
  /** Copies what should be uploaded into a new or empty folder, whole or not at all. */
  ready(folder: string, target: string, request: ReadyOptions): Promise<Ready>;
  /** Makes the pictures of a page from the photos in a folder, which is only read. */
  makePictures(folder: string, order: PicturesOrder, options: PicturesOptions): Promise<Pictures>;
  /** What has become of what the last run on the folder asked for; undefined where none is known. */
  sinceLastRun(
    folder: string,
    report: Report,
    request: readonly unknown[],
  ): Promise<SinceLastRun | undefined>;
  /** A clock that only runs forwards, ms. */
  now(): number;
}

export const dependencies: Dependencies = {
  async audit(folder, request) {
    const [{ audit }, { compileLess }] = await Promise.all([
      import("../pipeline/audit.js"),
      import("./compiler.js"),
    ]);
    compileLess();
    return audit(folder, request);
  },
  async mergeLimits(json, file) {
    const { mergeLimits } = await import("../checks/limits.js");
    return mergeLimits(json, file);
  },
  async checks() {
    const { explained } = await import("../checks/index.js");
    return explained;
  },
  async renderDemo(folder, request) {
    const { renderDemo } = await import("./render-demo.js");
    return renderDemo(folder, request);
  },
  async ready(folder, target, request) {
    const { ready } = await import("../ready/ready.js");
    return ready(folder, target, request);
  },
  async makePictures(folder, order, options) {
    const { makePictures } = await import("../pictures/pictures.js");
    return makePictures(folder, order, options);
  },
  async sinceLastRun(folder, report, request) {
    const { sinceLastRun } = await import("../pipeline/last-run.js");
    return sinceLastRun(folder, report, request);
  },
  now: () => performance.now(),
};
