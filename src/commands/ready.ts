import type { ReadyOptions } from "../ready/ready.js";
import type { Dependencies } from "./dependencies.js";
import { type ExitCode, type Io, passCode, reshootCode } from "./io.js";
import { readLimits } from "./limits-file.js";
import { ProgressLine } from "./progress.js";
import { stoppable, untilStopped } from "./stop.js";

/** The options as the parser reads them. */
export interface ReadyCommandOptions {
  readonly most?: number;
  readonly mostMb?: number;
  readonly level?: boolean;
  readonly longEdge?: number;
  readonly jpeg?: boolean;
  readonly keepPrivate?: boolean;
  readonly anyway?: boolean;
  readonly dryRun?: boolean;
  readonly json?: boolean;
  readonly recursive?: boolean;
  readonly limits?: string;
  readonly span?: number;
  readonly jobs?: number;
  readonly cache?: boolean;
}

/** `goodgate ready FOLDER NEW-FOLDER`. */
export async function ready(
  folder: string,
  target: string,
  options: ReadyCommandOptions,
  io: Io,
  { ready: prepare, mergeLimits, now }: Dependencies,
): Promise<ExitCode> {
  const limits = options.limits === undefined ? undefined : await readLimits(options.limits, mergeLimits);
  const progress = new ProgressLine(io.stderr, now);
  return untilStopped<ExitCode>(io, async (signal) => {
    const request: ReadyOptions = {
      recursive: options.recursive === true,
      cache: options.cache !== false,
      anyway: options.anyway === true,
      level: options.level === true,
      keepPrivate: options.keepPrivate === true,
      jpeg: options.jpeg === true,
      dryRun: options.dryRun === true,
      signal,
      onProgress: (state) => progress.show(state),
      onCopied: (done, of) => progress.show({ stage: "copying", done, of }),
      ...(options.most !== undefined && { most: options.most }),
      ...(options.mostMb !== undefined && { mostMb: options.mostMb }),
      ...(options.longEdge !== undefined && { longEdgePx: options.longEdge }),
      ...(options.jobs !== undefined && { jobs: options.jobs }),
      ...(options.span !== undefined && { spanDeg: options.span }),
      ...(limits !== undefined && { limits }),
    };
    const done = await stoppable(prepare(folder, target, request), signal).finally(() => progress.clear());
    const { isReady, written, manifest } = done;
    if (options.json === true) {
      await io.stdout.write(`${JSON.stringify({ isReady, written, manifest }, undefined, 2)}\n`);
    } else {
      const { readyWords } = await import("../ready/words.js");
      await io.stdout.write(readyWords(done, target));
    }
    return isReady || options.anyway === true ? passCode : reshootCode;
  });
}
